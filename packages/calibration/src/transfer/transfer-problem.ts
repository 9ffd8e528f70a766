/** One reason why a file was refused, with enough to find the place and to mend it. */
export interface TransferProblem {
  /** Line of the file, from 1; null where the file has no lines or none is to blame. */
  readonly line: number | null;
  /** Address in the control unit's memory; null where the file has none. */
  readonly address: number | null;
  readonly tableId: string | null;
  readonly variant: string | null;
  /** What was found where, what was expected and how to mend it. Safe to show. */
  readonly message: string;
}

/** What a reader answers when it takes nothing from a file. */
export interface Refused {
  readonly kind: 'refused';
  readonly problems: readonly TransferProblem[];
}

/** More problems than this are not looked for: a file that has as many is a different kind of file. */
export const MAX_PROBLEMS = 50;

/** The problems of one file in the order in which they were found, at most `MAX_PROBLEMS` of them. */
export class ProblemList {
  readonly #problems: TransferProblem[] = [];

  get isEmpty(): boolean {
    return this.#problems.length === 0;
  }

  get isFull(): boolean {
    return this.#problems.length >= MAX_PROBLEMS;
  }

  /** Notes a problem; the line, where known, is put before the message. */
  add(message: string, place: Partial<Omit<TransferProblem, 'message'>> = {}): void {
    if (this.isFull) return;
    const line = place.line ?? null;
    this.#problems.push({
      address: null,
      tableId: null,
      variant: null,
      ...place,
      line,
      message: line === null ? message : `Line ${line}: ${message}`,
    });
  }

  refusal(): Refused {
    return { kind: 'refused', problems: this.#problems };
  }
}

/** The answer of a reader that found one thing wrong and looked no further. */
export function refusedFor(message: string, place: Partial<Omit<TransferProblem, 'message'>> = {}): Refused {
  const problems = new ProblemList();
  problems.add(message, place);
  return problems.refusal();
}

/** Text from a file as it may stand in a message: at most 40 characters, nothing that cannot be printed. */
export function quoted(text: string): string {
  const plain = text.replace(/[\p{C}\p{Zl}\p{Zp}]/gu, '\ufffd');
  return `'${plain.length > 40 ? `${plain.slice(0, 39)}…` : plain}'`;
}
