import { and, asc, eq } from 'drizzle-orm';
import type { Db } from '../database/context.js';
import { summaryNames } from '../schema/shifts.js';

/** What the numbers in the packed summaries of a platform stand for. */
export interface SummaryNames {
  readonly kinds: readonly string[];
  /** The first is null: a program that was not logged. */
  readonly programs: readonly (string | null)[];
}

export function readNames(db: Db, platformId: string): SummaryNames {
  return { kinds: namesOf(db, platformId, 'kind'), programs: [null, ...namesOf(db, platformId, 'program')] };
}

function namesOf(db: Db, platformId: string, what: 'kind' | 'program'): string[] {
  return db
    .select({ name: summaryNames.name })
    .from(summaryNames)
    .where(and(eq(summaryNames.platformId, platformId), eq(summaryNames.what, what)))
    .orderBy(asc(summaryNames.number))
    .all()
    .map(({ name }) => name);
}

/** Numbers names; one that was never seen gets the next number, and is kept once `keep` is called. */
export class NameNumbers {
  private readonly db: Db;
  private readonly platformId: string;
  private readonly numbers: Record<'kind' | 'program', Map<string, number>>;
  private readonly fresh: (typeof summaryNames.$inferInsert)[] = [];

  constructor(db: Db, platformId: string) {
    this.db = db;
    this.platformId = platformId;
    const numbered = (what: 'kind' | 'program') =>
      new Map(namesOf(db, platformId, what).map((name, i) => [name, i + FIRST[what]]));
    this.numbers = { kind: numbered('kind'), program: numbered('program') };
  }

  kind(name: string): number {
    return this.numberOf('kind', name);
  }

  program(name: string | null): number {
    return name === null ? 0 : this.numberOf('program', name);
  }

  /** Writes new names down. Part of a larger transaction. */
  keep(): void {
    for (const row of this.fresh.splice(0)) this.db.insert(summaryNames).values(row).run();
  }

  private numberOf(what: 'kind' | 'program', name: string): number {
    const numbers = this.numbers[what];
    const known = numbers.get(name);
    if (known !== undefined) return known;
    const number = numbers.size + FIRST[what];
    numbers.set(name, number);
    this.fresh.push({ platformId: this.platformId, what, number, name });
    return number;
  }
}

/** The number of the first name; program 0 is none. */
const FIRST = { kind: 0, program: 1 } as const;
