import type { createDriveRequest } from '@syncline/contract';
import type { CoverageGap } from '@syncline/fleet';
import type {
  DriveRequest,
  Page,
  PageRequest,
  RequestReason,
  RequestState,
  Store,
  Actor as StoreActor,
} from '@syncline/store';
import type { z } from 'zod';
import { notFound } from '../../problem-error.js';
import { type Actor, scopeOf } from '../actor.js';
import type { GapService } from './gaps.js';
import { progressOf, shiftsPerCar } from './progress.js';

const DAY_MS = 24 * 3600_000;

/** Ends requests by their evidence or their time, when no one asks for it. */
const SERVER: StoreActor = { kind: 'system', id: null, name: 'the server', requestId: 'settle requests' };

export type RequestService = ReturnType<typeof createRequestService>;

/** Drive requests: what evidence is missing, asked of cars, and ended by the drives that bring it. */
export function createRequestService(
  store: Store,
  { gaps, clock }: { readonly gaps: GapService; readonly clock: () => number },
) {
  const { read, requests } = store;

  function get(actor: Actor, requestId: string): DriveRequest {
    const found = read.requests.find(scopeOf(actor), requestId);
    if (!found) throw notFound('drive request');
    return found;
  }

  /** Ends open requests that are met or have run out, and notes the cars that have done their share. Safe to repeat. */
  function settle(): { readonly met: number; readonly expired: number } {
    const ended = { met: 0, expired: 0 };
    for (const request of read.requests.listOpen()) {
      const { isMet } = progressOf(request);
      const hasRunOut = request.expiresAtMs <= clock();
      store.transaction(() => {
        for (const vehicleId of newlyMet(request)) requests.noteMet(request.id, vehicleId);
        if (!isMet && !hasRunOut) return;
        const state = isMet ? 'met' : 'expired';
        requests.close({ actor: SERVER, requestId: request.id, state, note: '' });
        ended[state] += 1;
      });
    }
    return ended;
  }

  return {
    settle,

    /** A tester's are those to her cars. */
    list(
      actor: Actor,
      filter: { readonly platformId?: string; readonly state?: RequestState },
      page: PageRequest,
    ): Page<DriveRequest> {
      settle();
      return read.requests.list(scopeOf(actor), filter, page);
    },

    get(actor: Actor, requestId: string): DriveRequest {
      settle();
      return get(actor, requestId);
    },

    /** What was known of the point is kept with it, so that later readers see why it was asked. */
    send(actor: Actor, input: z.output<typeof createDriveRequest>): DriveRequest {
      const { vehicleIds, days, ...drive } = input;
      const { platformId, revisionId, program, kind, loadBand, fluidTemperatureBand } = drive;
      const filter = { platformId, revisionId: revisionId ?? undefined, program: program ?? undefined };
      const reason = reasonOf(gaps.explain(filter, { kind, loadBand, temperatureBand: fluidTemperatureBand }));
      const expiresAtMs = clock() + days * DAY_MS;
      return get(actor, requests.send({ actor, drive: { ...drive, reason }, vehicleIds, expiresAtMs }));
    },

    withdraw(actor: Actor, requestId: string, reason: string): DriveRequest {
      requests.close({ actor, requestId, state: 'withdrawn', note: reason });
      return get(actor, requestId);
    },

    /** The owner of a car answers for it, or a maintainer whom the owner has told. */
    answer(
      actor: Actor,
      requestId: string,
      input: { readonly vehicleId: string; readonly answer: 'decline' | 'accept'; readonly reason: string },
    ): DriveRequest {
      const { vehicleId, answer, reason } = input;
      const state = answer === 'decline' ? 'declined' : 'asked';
      requests.answer({ actor, scope: scopeOf(actor), requestId, vehicleId, state, reason });
      return get(actor, requestId);
    },
  };
}

/** The figures alone. */
function reasonOf(gap: CoverageGap): RequestReason {
  const { shifts, vehicles, missingDialects, rate, widthNow, widthAfter, usageShare, probabilityAbove, gain } = gap;
  return { shifts, vehicles, missingDialects, rate, widthNow, widthAfter, usageShare, probabilityAbove, gain };
}

/** Cars asked that have brought their share and are not noted yet. */
function newlyMet(request: DriveRequest): string[] {
  const share = shiftsPerCar(request);
  const done = new Set(request.brought.filter(({ shifts }) => shifts >= share).map(({ vehicleId }) => vehicleId));
  return request.cars.flatMap(({ vehicleId, state }) => (state !== 'met' && done.has(vehicleId) ? [vehicleId] : []));
}
