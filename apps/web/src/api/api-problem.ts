import { PROBLEMS, type Problem, type ProblemCode, problem } from '@syncline/contract';

/** A problem document that the API answered. */
export class ApiProblem extends Error {
  override readonly name = 'ApiProblem';
  readonly document: Problem;

  constructor(document: Problem) {
    super(document.detail || document.title);
    this.document = document;
  }

  get code(): ProblemCode {
    return this.document.code;
  }

  /** What was said about one field of the form that was sent; undefined when nothing was. */
  fieldMessage(path: string): string | undefined {
    return this.document.fields?.find((field) => field.path === path || field.path === `body.${path}`)?.message;
  }
}

/** No answer came: the network, or the server, is away. */
export class Unreachable extends Error {
  override readonly name = 'Unreachable';
}

/** Whether an error is the problem with this code. */
export function isProblem(error: unknown, code: ProblemCode): error is ApiProblem {
  return error instanceof ApiProblem && error.code === code;
}

/** Turns the body of an answer that is no success into a problem; anything unknown becomes a fault of the server. */
export function toApiProblem(status: number, text: string, requestId: string | null): ApiProblem {
  const parsed = problem.safeParse(parseJson(text));
  if (parsed.success) return new ApiProblem(parsed.data);
  const { title, remedy } = PROBLEMS['server.fault'];
  return new ApiProblem({
    type: 'about:blank',
    code: 'server.fault',
    status,
    title,
    detail: `The server answered with status ${status} and no problem document.`,
    remedy,
    requestId: requestId ?? 'not given',
  });
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}
