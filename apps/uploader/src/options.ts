import { readFileSync, statSync } from 'node:fs';
import { homedir } from 'node:os';
import { join, resolve } from 'node:path';
import { Command, CommanderError, InvalidArgumentError } from 'commander';
import { EXIT, FatalError } from './exit-code.js';

/** Endings of what the server reads, packed or not. */
const DEFAULT_PATTERNS = ['csv', 'jsonl', 'ndjson', 'mf4', 'mdf', 'dat', 'log', 'gz', 'zip'].map((end) => `*.${end}`);

export interface Options {
  /** Address of the server without a slash at its end. */
  readonly server: string;
  readonly token: string;
  /** Id or title of the car. */
  readonly vehicle: string;
  /** Files and folders, absolute. */
  readonly paths: readonly string[];
  readonly isWatching: boolean;
  /** File names that are taken from folders; `*` and `?` stand for any text and any character. */
  readonly patterns: readonly string[];
  readonly statePath: string;
  /** A file in a watched folder is complete when it has not grown for so long. */
  readonly stableMs: number;
  /** Time between two looks at a watched folder. */
  readonly everyMs: number;
  /** Longest silence of the server before a run is given up; a watch never is. */
  readonly giveUpMs: number;
  /** What to tell before beginning. */
  readonly warnings: readonly string[];
}

interface Said {
  server: string;
  token?: string;
  tokenFile?: string;
  vehicle: string;
  watch: boolean;
  pattern?: string[];
  state?: string;
  stable: number;
  every: number;
  giveUp: number;
}

/** Reads arguments and environment. Throws FatalError `usage`; help is printed and ends with `allSent`. */
export function readOptions(args: readonly string[], environment: NodeJS.ProcessEnv): Options {
  const command = new Command('syncline-upload')
    .description('Sends drive logs to a Syncline server. What breaks off goes on where it stood.')
    .argument('<paths...>', 'files, or folders whose files match the pattern')
    .requiredOption('--server <address>', 'address of the server, such as https://club.example')
    .option('--token <token>', 'personal API token; better in SYNCLINE_TOKEN or a file, where no other program sees it')
    .option('--token-file <file>', 'file that holds the token')
    .requiredOption('--vehicle <car>', 'id or title of the car that was driven')
    .option('--watch', 'go on watching the folders for new files', false)
    .option(
      '--pattern <pattern>',
      `names to take from folders; may be given again (default ${DEFAULT_PATTERNS.join(' ')})`,
      collect,
    )
    .option('--state <file>', 'where to remember what is sent')
    .option('--stable <seconds>', 'a watched file is complete when it has not grown for so long', seconds, 10)
    .option('--every <seconds>', 'time between two looks at a watched folder', seconds, 5)
    .option('--give-up <minutes>', 'end when the server is silent for so long; a watch never ends', minutes, 10)
    .addHelpText('after', EXIT_HELP)
    .exitOverride()
    .configureOutput({ outputError: () => undefined });
  try {
    command.parse([...args], { from: 'user' });
  } catch (error) {
    if (!(error instanceof CommanderError)) throw error;
    if (error.exitCode === 0) throw new FatalError(EXIT.allSent, '');
    throw new FatalError(EXIT.usage, error.message.replace(/^error: /, ''), { cause: error });
  }
  const said = command.opts<Said>();
  const warnings: string[] = [];
  const server = serverAddress(said.server, warnings);
  return {
    server,
    token: readToken(said, environment, warnings),
    vehicle: said.vehicle,
    paths: command.args.map((path) => resolve(path)),
    isWatching: said.watch,
    patterns: said.pattern ?? DEFAULT_PATTERNS,
    statePath: resolve(said.state ?? defaultStatePath(environment)),
    stableMs: said.stable * 1000,
    everyMs: said.every * 1000,
    giveUpMs: said.watch ? Number.POSITIVE_INFINITY : said.giveUp * 60_000,
    warnings,
  };
}

const EXIT_HELP = `
Ends with 0 when every file is on the server, 1 when some were refused, 2 for wrong usage, 3 when the server cannot be
reached, 4 when the token may not do this, 130 when stopped half-way (the next run goes on from there).`;

function collect(pattern: string, before: readonly string[] = []): string[] {
  return [...before, pattern];
}

function seconds(text: string): number {
  const value = Number(text);
  if (!(value >= 0 && value <= 86_400)) throw new InvalidArgumentError('expected 0 to 86400 seconds');
  return value;
}

function minutes(text: string): number {
  const value = Number(text);
  if (!(value >= 0 && value <= 10_080)) throw new InvalidArgumentError('expected 0 to 10080 minutes');
  return value;
}

function serverAddress(text: string, warnings: string[]): string {
  if (!URL.canParse(text) || !/^https?:$/.test(new URL(text).protocol)) {
    throw new FatalError(EXIT.usage, `--server: expected an address such as https://club.example, found '${text}'`);
  }
  const { protocol, hostname } = new URL(text);
  const isLocal = ['localhost', '127.0.0.1', '[::1]'].includes(hostname);
  if (protocol === 'http:' && !isLocal) {
    warnings.push('The address begins with http: whoever listens on the way can read the token.');
  }
  return text.replace(/\/+$/, '');
}

function readToken({ token, tokenFile }: Said, environment: NodeJS.ProcessEnv, warnings: string[]): string {
  const found = token ?? (tokenFile === undefined ? environment.SYNCLINE_TOKEN : tokenOf(tokenFile, warnings));
  if (!found?.trim()) {
    throw new FatalError(
      EXIT.usage,
      'A token is needed: SYNCLINE_TOKEN, --token-file or --token. The account page makes one.',
    );
  }
  return found.trim();
}

function tokenOf(path: string, warnings: string[]): string {
  try {
    if (process.platform !== 'win32' && (statSync(path).mode & 0o077) !== 0) {
      warnings.push(`${path} can be read by others on this computer: chmod 600 it.`);
    }
    return readFileSync(path, 'utf8');
  } catch (cause) {
    throw new FatalError(EXIT.usage, `--token-file: ${path} cannot be read`, { cause });
  }
}

function defaultStatePath(environment: NodeJS.ProcessEnv): string {
  const folder = environment.XDG_STATE_HOME ?? join(homedir(), '.local', 'state');
  return join(folder, 'syncline-upload.json');
}
