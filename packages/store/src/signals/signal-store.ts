import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { openSignalFile } from './open-signal-file.js';
import type { SignalReader, SignalStore } from './signals.js';

export function signalReader(folder: string): SignalReader {
  return { open: (name) => openSignalFile(signalPath(folder, name)) };
}

export function signalStore(folder: string, ids: () => string): SignalStore {
  return {
    ...signalReader(folder),
    // Never the name of before: rows of an earlier analysis keep their file until the new ones are committed.
    newFile(logId) {
      const name = `${logId}.${ids()}.signals`;
      return { name, path: signalPath(folder, name) };
    },
  };
}

export function hasSignalFile(folder: string, name: string): boolean {
  return existsSync(signalPath(folder, name));
}

function signalPath(folder: string, name: string): string {
  return join(folder, 'signals', name);
}
