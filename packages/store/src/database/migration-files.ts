import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { StoreError } from '../store-error.js';

/** One migration as it lies in the folder. */
export interface MigrationFile {
  readonly tag: string;
  readonly sql: string;
  /** SHA-256 of the file, lower-case hex. */
  readonly hash: string;
  /** Tables that lose rows on purpose, named in a line `-- shrinks: <table>`. */
  readonly shrinks: readonly string[];
}

interface Journal {
  readonly entries: readonly { readonly idx: number; readonly when: number; readonly tag: string }[];
}

/**
 * The migrations of a folder made by drizzle-kit, in order. Throws `migration_order` when the journal does not count
 * from 0 or its times do not rise: the order in which files were made and the order of the list then disagree.
 */
export function readMigrationFiles(folder: string): MigrationFile[] {
  const journal = JSON.parse(readFileSync(join(folder, 'meta', '_journal.json'), 'utf8')) as Journal;
  journal.entries.forEach((entry, position) => {
    const earlier = journal.entries[position - 1];
    if (entry.idx !== position || (earlier && entry.when <= earlier.when)) {
      throw new StoreError(
        'migration_order',
        `Migration ${entry.tag} is out of order: number ${entry.idx} at place ${position}, made ${entry.when}` +
          `${earlier ? `, after ${earlier.tag} made ${earlier.when}` : ''}. Generate it anew on top of the others.`,
      );
    }
  });
  return journal.entries.map(({ tag }) => readMigrationFile(folder, tag));
}

function readMigrationFile(folder: string, tag: string): MigrationFile {
  const sql = readFileSync(join(folder, `${tag}.sql`), 'utf8');
  return {
    tag,
    sql,
    hash: createHash('sha256').update(sql).digest('hex'),
    shrinks: [...sql.matchAll(/^-- shrinks: (\w+)$/gm)].map((match) => match[1]),
  };
}
