#!/usr/bin/env node
import { EXIT, FatalError } from './exit-code.js';
import { readOptions } from './options.js';
import { Report } from './report.js';
import { run } from './run.js';

/** Stops in order on the first signal: what has arrived stays, and the next run goes on from there. */
function stopSignal(): AbortSignal {
  const stopping = new AbortController();
  for (const name of ['SIGINT', 'SIGTERM'] as const) process.once(name, () => stopping.abort());
  return stopping.signal;
}

async function main(): Promise<number> {
  try {
    const options = readOptions(process.argv.slice(2), process.env);
    return await run(options, new Report(process.stdout), stopSignal());
  } catch (error) {
    if (!(error instanceof FatalError)) throw error;
    if (error.exitCode !== EXIT.allSent) process.stderr.write(`syncline-upload: ${error.message}\n`);
    return error.exitCode;
  }
}

process.exitCode = await main();
