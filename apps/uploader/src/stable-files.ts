import type { FoundFile } from './find-files.js';

/**
 * Tells which files have not grown for a while. A logger that is still writing would otherwise be sent in part. Only
 * what this program saw itself counts: clocks of loggers and network folders are not to be believed.
 */
export class StableFiles {
  private readonly stableMs: number;
  private seen = new Map<string, FoundFile & { readonly sinceMs: number }>();

  constructor(stableMs: number) {
    this.stableMs = stableMs;
  }

  /** Of the files as they are now, those that are as they were `stableMs` ago. Files that have gone are forgotten. */
  pick(files: readonly FoundFile[], nowMs: number): FoundFile[] {
    const seen = new Map(
      files.map((file) => {
        const before = this.seen.get(file.path);
        const isSame = before?.sizeBytes === file.sizeBytes && before.modifiedMs === file.modifiedMs;
        return [file.path, { ...file, sinceMs: isSame ? before.sinceMs : nowMs }];
      }),
    );
    this.seen = seen;
    return files.filter(({ path }) => nowMs - (seen.get(path)?.sinceMs ?? nowMs) >= this.stableMs);
  }
}
