import { type Dirent, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { EXIT, FatalError } from './exit-code.js';

/** A file that may be sent. */
export interface FoundFile {
  readonly path: string;
  readonly sizeBytes: number;
  readonly modifiedMs: number;
}

/**
 * The files that paths name, and those of folders and their subfolders whose names match; hidden ones are left alone.
 * Oldest first. Throws FatalError `usage` for a path that is not there.
 */
export function findFiles(paths: readonly string[], patterns: readonly string[]): FoundFile[] {
  const matchers = patterns.map(matcher);
  const found = new Map<string, FoundFile>();
  for (const path of paths) {
    const isFolder = statSync(path, { throwIfNoEntry: false })?.isDirectory();
    if (isFolder === undefined) throw new FatalError(EXIT.usage, `There is no file or folder ${path}`);
    const files = isFolder ? filesUnder(path).filter((name) => matchers.some((fits) => fits(name))) : [path];
    for (const file of files) {
      const stats = statSync(file, { throwIfNoEntry: false });
      if (stats?.isFile()) found.set(file, { path: file, sizeBytes: stats.size, modifiedMs: stats.mtimeMs });
    }
  }
  return [...found.values()].sort((a, b) => a.modifiedMs - b.modifiedMs || (a.path < b.path ? -1 : 1));
}

function filesUnder(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true })
    .filter((entry: Dirent) => !entry.name.startsWith('.'))
    .flatMap((entry) => {
      const path = join(folder, entry.name);
      return entry.isDirectory() ? filesUnder(path) : [path];
    });
}

/** Whether the name of a path fits a pattern of `*` and `?`, capitals or not. */
function matcher(pattern: string): (path: string) => boolean {
  const parts = pattern
    .replace(/[\\^$.|+()[\]{}]/g, '\\$&')
    .replaceAll('*', '.*')
    .replaceAll('?', '.');
  const expression = new RegExp(`^${parts}$`, 'iu');
  return (path) => expression.test(path.slice(Math.max(path.lastIndexOf('/'), path.lastIndexOf('\\')) + 1));
}
