import type { Platform } from '@syncline/calibration';
import { type BusTraffic, checkCapture } from '@syncline/drivelog';
import type { CaptureCheck, CaptureScore, StoredProfile } from '@syncline/store';

/** Disagreements that are kept of each dialect; beyond, only their number. */
const MAX_DISAGREEMENTS = 100;

const NOTHING_READ: CaptureCheck = {
  busInterface: null,
  frames: 0,
  durationS: 0,
  identifierCount: 0,
  observed: null,
  doubt: 'too_little',
  reason: 'too little traffic: no frame could be read',
  margin: null,
  scores: [],
};

/**
 * Holds the traffic of a capture against the known dialects of a platform (methods.md 8). While a dialect of the
 * platform has no profile yet, another is believed only when nothing at all disagrees: what differs may be what sets
 * the unknown one apart.
 */
export function checkTraffics(
  traffics: readonly BusTraffic[],
  { dialects }: Platform,
  profiles: readonly StoredProfile[],
): CaptureCheck {
  const known = profiles.filter(({ profile }) => dialects.some(({ id }) => id === profile.dialect));
  const check = checkCapture(
    traffics,
    known.map(({ profile }) => profile),
  );
  if (check === null) return NOTHING_READ;
  const traffic = traffics.find(({ busInterface }) => busInterface === check.busInterface);
  const versionOf = new Map(known.map(({ profile, version }) => [profile.dialect, version]));
  const scores = check.scores.map(
    (score): CaptureScore => ({
      ...score,
      profileVersion: versionOf.get(score.dialect) ?? 0,
      disagreementCount: score.disagreements.length,
      disagreements: score.disagreements.slice(0, MAX_DISAGREEMENTS),
    }),
  );
  const unlearned = dialects.filter(({ id }) => !versionOf.has(id)).map(({ title }) => title);
  const isUnsure = check.observed !== null && unlearned.length > 0 && scores[0].disagreementCount > 0;
  return {
    busInterface: check.busInterface,
    frames: traffic?.frames ?? 0,
    durationS: traffic?.durationS ?? 0,
    identifierCount: traffic?.identifiers.length ?? 0,
    observed: isUnsure ? null : check.observed,
    doubt: isUnsure ? 'none_known' : check.doubt,
    reason: isUnsure
      ? `${check.reason}, but nothing is known yet of ${unlearned.join(', ')} to tell it from`
      : check.reason,
    margin: check.margin,
    scores,
  };
}
