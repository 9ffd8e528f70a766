import rateLimit from '@fastify/rate-limit';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { problem } from '../problem-error.js';

/** How often a password or a link may be tried. */
export interface GuessLimits {
  readonly perAccount: number;
  readonly perAddress: number;
  readonly windowMs: number;
}

/** How often one address may send what needs no sign-in. */
export interface SendLimit {
  readonly perAddress: number;
  readonly windowMs: number;
}

/** A household sends one application, perhaps mends it; an hour is short enough to wait for. */
export const DEFAULT_APPLICATION_LIMIT: SendLimit = { perAddress: 5, windowMs: 3600_000 };

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
  return {
    byAccount: (request) => refuse(countAccount, request, limits.windowMs),
    byAddress: (request) => refuse(countAddress, request, limits.windowMs),
  };
}

/**
 * Limits what one address sends without sign-in. After `addGuessLimits`. The default key takes an IPv6 network of 64 bits,
 * which one household has to itself, as one address.
 */
export function createSendLimit(app: FastifyInstance, { perAddress, windowMs }: SendLimit): CountGuess {
  const count = app.createRateLimit({ max: perAddress, timeWindow: windowMs });
  return (request) => refuse(count, request, windowMs);
}

async function refuse(
  count: ReturnType<FastifyInstance['createRateLimit']>,
  request: FastifyRequest,
  windowMs: number,
): Promise<void> {
  const result = await count(request);
  if (!result.isAllowed && result.isExceeded) {
    throw problem('request.tooMany', {
      detail: `More than ${result.max} tries in ${windowMs / 60_000} minutes.`,
      retryAfterS: result.ttlInSeconds,
    });
  }
}
