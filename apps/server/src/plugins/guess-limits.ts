import rateLimit from '@fastify/rate-limit';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { problem } from '../problem-error.js';

/** How often a password or a link may be tried. */
export interface GuessLimits {
  readonly perAccount: number;
  readonly perAddress: number;
  readonly windowMs: number;
}

export const DEFAULT_GUESS_LIMITS: GuessLimits = { perAccount: 10, perAddress: 60, windowMs: 5 * 60_000 };

/** Counts a try before it is judged, and throws `request.tooMany` when there were too many. */
export type CountGuess = (request: FastifyRequest) => Promise<void>;

/** Limits on guessing, one per account (the e-mail address tried) and one per address of the caller. */
export async function addGuessLimits(
  app: FastifyInstance,
  limits: GuessLimits,
): Promise<{ byAccount: CountGuess; byAddress: CountGuess }> {
  await app.register(rateLimit, { global: false });
  const countAccount = app.createRateLimit({
    max: limits.perAccount,
    timeWindow: limits.windowMs,
    keyGenerator: (request) => `account ${(request.body as { email: string }).email}`,
  });
  const countAddress = app.createRateLimit({
    max: limits.perAddress,
    timeWindow: limits.windowMs,
    keyGenerator: (request) => `address ${request.ip}`,
  });
  const refuse = async (count: typeof countAccount, request: FastifyRequest) => {
    const result = await count(request);
    if (!result.isAllowed && result.isExceeded) {
      throw problem('request.tooMany', {
        detail: `More than ${result.max} tries in ${limits.windowMs / 60_000} minutes.`,
        retryAfterS: result.ttlInSeconds,
      });
    }
  };
  return {
    byAccount: (request) => refuse(countAccount, request),
    byAddress: (request) => refuse(countAddress, request),
  };
}
