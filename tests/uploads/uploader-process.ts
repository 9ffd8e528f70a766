import { type ChildProcess, spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const MAIN = fileURLToPath(new URL('../../apps/uploader/dist/main.js', import.meta.url));

/** The command in a process of its own. */
export interface UploaderProcess {
  /** What it has said so far, errors too. */
  readonly output: () => string;
  readonly ended: Promise<number | null>;
  signal(name: 'SIGINT' | 'SIGKILL'): void;
}

/** Runs `syncline-upload` with these arguments; the token goes by the environment, as the README says. */
export function startUploader(args: readonly string[], token: string | undefined): UploaderProcess {
  const child = spawn(process.execPath, [MAIN, ...args], {
    env: { PATH: process.env.PATH, HOME: process.env.HOME, ...(token !== undefined && { SYNCLINE_TOKEN: token }) },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const output = gather(child);
  const ended = new Promise<number | null>((resolve) => child.once('close', (code) => resolve(code)));
  return { output, ended, signal: (name) => void child.kill(name) };
}

function gather(child: ChildProcess): () => string {
  let text = '';
  for (const stream of [child.stdout, child.stderr]) stream?.on('data', (chunk: Buffer) => (text += chunk.toString()));
  return () => text;
}

/** Waits until the command has said something. Throws with all that it said when it ends before. */
export async function untilSaid({ output, ended }: UploaderProcess, expected: RegExp): Promise<void> {
  let hasEnded = false;
  void ended.then(() => {
    hasEnded = true;
  });
  while (!expected.test(output())) {
    if (hasEnded) throw new Error(`the command ended without saying ${expected}:\n${output()}`);
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}
