import { type ChildProcess, spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';

const inRoot = (path: string) => fileURLToPath(new URL(`../../${path}`, import.meta.url));
/** As `npm start` starts it: what it says after the build. */
const [, ENVIRONMENT, NODE_OPTIONS, MAIN] = /&& ((?:\w+=\S+ )*)node ((?:--\S+ )*)(\S+)$/.exec(
  JSON.parse(readFileSync(inRoot('package.json'), 'utf8')).scripts.start,
) as unknown as [string, string, string, string];
const START_LIMIT_MS = 30_000;

/** The real server in a process of its own, so that it can be killed. */
export interface ServerProcess {
  readonly baseUrl: string;
  readonly pid: number;
  /** Ends it without any chance to tidy up (SIGKILL). */
  kill(): Promise<void>;
  /** Asks it to stop (SIGTERM) and waits; gives its exit code. */
  stop(): Promise<number | null>;
}

/**
 * Starts the server on a data folder and waits until it listens; `settings` go before those that the tests need, and
 * `nodeOptions` to Node. Throws with its output when it does not start.
 */
export async function startServerProcess(
  dataFolder: string,
  settings: Readonly<Record<string, string>> = {},
  nodeOptions: readonly string[] = [],
): Promise<ServerProcess> {
  const child = spawn(process.execPath, [...words(NODE_OPTIONS), ...nodeOptions, inRoot(MAIN)], {
    env: {
      ...process.env,
      ...Object.fromEntries(words(ENVIRONMENT).map((entry) => entry.split('='))),
      SYNCLINE_DATA: dataFolder,
      SYNCLINE_PORT: '0',
      SYNCLINE_LOG_LEVEL: 'info',
      SYNCLINE_MIN_FREE_BYTES: '0',
      ...settings,
    },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const ended = new Promise<number | null>((resolve) => child.once('exit', (code) => resolve(code)));
  const baseUrl = await listeningAddress(child, ended);
  return {
    baseUrl,
    pid: child.pid!,
    kill: async () => {
      child.kill('SIGKILL');
      await ended;
    },
    stop: () => {
      child.kill('SIGTERM');
      return ended;
    },
  };
}

/** Reads the log until the line that says where the server listens; goes on reading so that the pipe never fills. */
function listeningAddress(child: ChildProcess, ended: Promise<unknown>): Promise<string> {
  const output: string[] = [];
  child.stderr?.on('data', (chunk: Buffer) => output.push(chunk.toString()));
  return new Promise((resolve, reject) => {
    const fail = () => reject(new Error(`the server did not start:\n${output.join('\n')}`));
    const limit = setTimeout(fail, START_LIMIT_MS);
    void ended.then(fail);
    createInterface({ input: child.stdout! }).on('line', (line) => {
      output.push(line);
      if (!line.includes('"server.listening"')) return;
      clearTimeout(limit);
      resolve((JSON.parse(line) as { address: string }).address);
    });
  });
}

function words(text: string): string[] {
  return text.split(' ').filter((word) => word !== '');
}
