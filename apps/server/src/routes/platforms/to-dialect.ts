import type * as Contract from '@syncline/contract';
import type { PlatformCapture, StoredProfile, StoredSignalList } from '@syncline/store';
import { toInstant } from '../format.js';

// The documents are the domain's own values; the copies only shed the readonly marks.
export function toBusSignals(
  platformId: string,
  dialectId: string,
  list: StoredSignalList | null,
): Contract.BusSignalsResponse {
  if (list === null) return { platformId, dialectId, list };
  const signals = structuredClone(list.signals) as Contract.BusSignalDocument[];
  const { version, byName } = list;
  return { platformId, dialectId, list: { version, signals, enteredAt: toInstant(list.createdAtMs), byName } };
}

export function toDialectProfile(
  platformId: string,
  dialectId: string,
  stored: StoredProfile | null,
): Contract.DialectProfileResponse {
  if (stored === null) return { platformId, dialectId, profile: null };
  const { version, byName, captureIds, profile } = stored;
  return {
    platformId,
    dialectId,
    profile: {
      version,
      identifiers: profile.identifiers.map((entry) => ({ ...entry, lengths: [...entry.lengths] })),
      captureCount: profile.captureCount,
      captureIds: [...captureIds],
      enteredAt: toInstant(stored.createdAtMs),
      byName,
    },
  };
}

export function toPlatformCapture({ uploadedAtMs, ...capture }: PlatformCapture): Contract.PlatformCapture {
  return { ...capture, uploadedAt: toInstant(uploadedAtMs) };
}
