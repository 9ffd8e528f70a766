import type { FastifyServerOptions } from 'fastify';
import type { Settings } from '../settings.js';

/** What stands in the place of a secret. */
const CENSOR = '[withheld]';
const MAX_CAUSES = 5;

/** Nobody logs these on purpose: they are withheld should it ever happen, two levels deep. */
const SECRETS = [
  'password',
  'newPassword',
  'passwordHash',
  'token',
  'tokenHash',
  'secret',
  'cookie',
  'authorization',
].flatMap((name) => [name, `*.${name}`, `*.*.${name}`]);

/**
 * One JSON object a line. Requests are named by method alone, for an address may hold the secret of an invitation, and
 * errors by type, code, message and stack: libraries hang requests and answers on theirs.
 */
export function logOptions(
  { logLevel: level }: Pick<Settings, 'logLevel'>,
  stream: { write(line: string): void } | undefined,
): FastifyServerOptions['logger'] {
  return {
    level,
    ...(stream && { stream }),
    redact: { paths: SECRETS, censor: CENSOR },
    serializers: {
      req: ({ method }) => ({ method }),
      res: ({ statusCode }) => ({ statusCode }),
      err: (error: unknown) => describeError(error) as never,
    },
  };
}

interface DescribedError {
  readonly type: string;
  readonly message: string;
  readonly code?: unknown;
  readonly stack?: string;
  readonly cause?: DescribedError;
}

function describeError(error: unknown, depth = 0): DescribedError {
  if (!(error instanceof Error)) return { type: typeof error, message: String(error) };
  const { name, message, stack, cause } = error;
  return {
    type: name,
    message,
    ...('code' in error && { code: error.code }),
    ...(stack !== undefined && { stack }),
    ...(cause !== undefined && depth < MAX_CAUSES && { cause: describeError(cause, depth + 1) }),
  };
}
