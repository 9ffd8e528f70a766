import { busSignal } from '@syncline/contract';
import {
  checkBusSignals,
  type DialectIdentifier,
  type DialectProfile,
  identifierText,
  learnDialect,
} from '@syncline/drivelog';
import type { PlatformCapture, Store, StoredProfile, StoredSignalList } from '@syncline/store';
import { analysisJob, recheckJob } from '../jobs/job-kinds.js';
import { notFound, problem } from '../problem-error.js';
import type { Actor } from './actor.js';
import { blockingFinding } from './findings.js';
import type { PlatformService } from './platforms.js';

/** Captures that are offered to learn from. */
const LISTED_CAPTURES = 200;

export type DialectService = ReturnType<typeof createDialectService>;

/** Bus dialects of a platform: how their frames are read, and how their buses are spoken. */
export function createDialectService(store: Store, platforms: PlatformService, nudgeJobs: () => void) {
  const { read, dialects } = store;

  function requireDialect(platformId: string, dialectId: string): void {
    const { platform } = platforms.get(platformId);
    if (!platform.dialects.some(({ id }) => id === dialectId)) throw notFound('dialect');
  }

  function getSignals(platformId: string, dialectId: string): StoredSignalList | null {
    requireDialect(platformId, dialectId);
    return read.dialects.findSignalList(platformId, dialectId) ?? null;
  }

  function getProfile(platformId: string, dialectId: string): StoredProfile | null {
    requireDialect(platformId, dialectId);
    return read.dialects.findProfile(platformId, dialectId) ?? null;
  }

  function addProfile(actor: Actor, platformId: string, profile: DialectProfile, captureIds: readonly string[]) {
    const jobFor = (version: number) => recheckJob(platformId, profile.dialect, version);
    dialects.addProfile({ actor, platformId, profile, captureIds, jobFor });
    nudgeJobs();
    return getProfile(platformId, profile.dialect);
  }

  return {
    getSignals,
    getProfile,

    add(actor: Actor, platformId: string, dialect: { readonly id: string; readonly title: string }) {
      platforms.get(platformId);
      dialects.add({ actor, platformId, dialect });
      return platforms.get(platformId);
    },

    /** Captures that waited for a list, or could not be read with the one of before, are queued again. */
    setSignals(actor: Actor, platformId: string, dialectId: string, list: readonly unknown[]) {
      requireDialect(platformId, dialectId);
      const findings = checkBusSignals(list).map(({ index, field, message }) =>
        blockingFinding(
          'busSignals',
          ['signals', index, field].filter((part) => part !== null && part !== '').join('.'),
          message,
        ),
      );
      if (findings.length > 0) throw problem('busSignals.invalid', { findings });
      // What else stood in an entry is let go of.
      const signals = list.map((entry) => busSignal.parse(entry));
      dialects.addSignalList({ actor, platformId, dialectId, signals, jobFor: analysisJob });
      nudgeJobs();
      return getSignals(platformId, dialectId);
    },

    /** Captures of the platform are checked again with it by a job. */
    setProfile(actor: Actor, platformId: string, dialectId: string, identifiers: readonly DialectIdentifier[]) {
      requireDialect(platformId, dialectId);
      const names = identifiers.map(({ identifier, isExtended }) => identifierText(identifier, isExtended));
      const findings = names.flatMap((name, i) =>
        names.indexOf(name) === i
          ? []
          : [
              blockingFinding(
                'dialectProfile',
                `identifiers.${i}`,
                `Identifier ${name} stands there already. List it once.`,
              ),
            ],
      );
      if (findings.length > 0) throw problem('dialectProfile.invalid', { findings });
      return addProfile(actor, platformId, { dialect: dialectId, captureCount: 0, identifiers }, []);
    },

    /** Learns how a dialect is spoken from captures of cars that are confirmed to speak it. */
    learn(actor: Actor, platformId: string, dialectId: string, captureIds: readonly string[]) {
      requireDialect(platformId, dialectId);
      const ids = [...new Set(captureIds)];
      const captures = ids.map((captureId) => captureOf(platformId, dialectId, captureId));
      return addProfile(actor, platformId, learnDialect(dialectId, captures), ids);
    },

    listCaptures(platformId: string): readonly PlatformCapture[] {
      platforms.get(platformId);
      return read.captures.listOfPlatform({}, platformId, LISTED_CAPTURES);
    },
  };

  /** The bus of a capture that may be learned from. */
  function captureOf(platformId: string, dialectId: string, captureId: string) {
    const capture = read.captures.findLearnable(captureId);
    const refuse = (detail: string) => problem('dialect.captureUnfit', { detail });
    if (capture?.platformId !== platformId) throw refuse(`'${captureId}' is no bus capture of a car of this platform.`);
    const vehicle = read.vehicles.find({}, capture.vehicleId);
    if (vehicle?.observedDialect !== dialectId || vehicle.dialectVerdict !== 'confirmed') {
      throw refuse(`“${capture.fileName}” is of ${vehicle?.title}, which is not confirmed to speak ${dialectId}.`);
    }
    const traffic = capture.traffics.find(({ busInterface }) => busInterface === capture.busInterface);
    if (!traffic) throw refuse(`“${capture.fileName}” holds no frame that could be read.`);
    return traffic;
  }
}
