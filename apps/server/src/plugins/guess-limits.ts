import { isIPv6 } from 'node:net';
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

export interface GuessCounters {
  readonly byAccount: CountGuess;
  readonly byAddress: CountGuess;
}

/**
 * Limits on guessing, one per account (its e-mail address) and one per address of the caller. A password, a code of the
 * second factor and a password asked for again count alike, wherever they are entered.
 */
export async function addGuessLimits(app: FastifyInstance, limits: GuessLimits): Promise<GuessCounters> {
  await app.register(rateLimit, { global: false });
  const countAccount = app.createRateLimit({
    max: limits.perAccount,
    timeWindow: limits.windowMs,
    keyGenerator: (request) => `account ${accountOf(request)}`,
  });
  const countAddress = app.createRateLimit({
    max: limits.perAddress,
    timeWindow: limits.windowMs,
    keyGenerator: (request) => `address ${networkOf(request.ip)}`,
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

/** Whose account is tried: the one named, signed in, or half signed in. */
function accountOf({ body, ownSession, pendingSignIn }: FastifyRequest): string {
  const named = (body as { readonly email?: string } | undefined)?.email;
  return named ?? ownSession?.person.email ?? pendingSignIn?.email ?? '';
}

/** One household: an IPv4 address, or an IPv6 network of 64 bits, whose addresses its owner may take as she likes. */
export function networkOf(address: string): string {
  if (!isIPv6(address) || address.includes('.')) return address;
  const [head, tail] = address
    .split('%', 1)[0]
    .split('::')
    .map((part) => part.split(':').filter(Boolean));
  const zeros = tail === undefined ? [] : Array<string>(8 - head.length - tail.length).fill('0');
  const groups = [...head, ...zeros, ...(tail ?? [])];
  return groups
    .slice(0, 4)
    .map((group) => Number.parseInt(group, 16).toString(16))
    .join(':');
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
