import { type Finding, type ImportProblem, PROBLEMS, type Problem, type ProblemCode } from '@syncline/contract';

/** What else a single answer tells beside its code. */
export interface ProblemDetails {
  /** What was found, what was expected and where; safe to show. The title stands in when it is left out. */
  readonly detail?: string;
  readonly fields?: Problem['fields'];
  readonly findings?: readonly Finding[];
  readonly importProblems?: readonly ImportProblem[];
  readonly retryAfterS?: number;
  readonly cause?: unknown;
}

/** An expected refusal that the caller can act on. Anything else that is thrown is a fault of ours. */
export class ProblemError extends Error {
  readonly code: ProblemCode;
  readonly details: ProblemDetails;

  constructor(code: ProblemCode, details: ProblemDetails) {
    super(details.detail ?? PROBLEMS[code].title, { cause: details.cause });
    this.name = 'ProblemError';
    this.code = code;
    this.details = details;
  }
}

/** Makes a refusal of the contract's table, to be thrown. */
export function problem(code: ProblemCode, details: ProblemDetails = {}): ProblemError {
  return new ProblemError(code, details);
}

/** The refusal for what does not exist or may not be seen: both read the same. */
export function notFound(what: string): ProblemError {
  return problem('resource.notFound', { detail: `There is no such ${what}, or you may not see it.` });
}
