import type { Application, ControlUnit, ReleaseResponse, Review, RevisionResponse } from '@syncline/contract';
import { type PlannedDrive, TERN_PLATFORM, type TernRevision } from '@syncline/drivetrain';
import type { EnteredCar } from './enter-cars.js';
import type { Member } from './found-club.js';

interface ReleaseOptions {
  readonly maintainer: Member;
  readonly reviewer: Member;
  readonly revisionIds: ReadonlyMap<TernRevision, string>;
  readonly cars: readonly EnteredCar[];
  readonly drives: readonly PlannedDrive[];
}

/** Marks the cars that go first, beside those that drove the third revision on its first days. */
const FIRST_WAVE = 'first wave';
const MORE_CARS = 3;

/** The third revision, approved and on its way to most of the first wave; and the control units of the first few. */
export async function releaseThird(options: ReleaseOptions): Promise<void> {
  await handOutUnits(options);
  await chooseFirstWave(options);
  const { maintainer, reviewer, revisionIds } = options;
  const [secondId, thirdId] = (['r2', 'r3'] as const).map((id) => revisionIds.get(id));
  const { contentHash } = await maintainer.client.get<RevisionResponse>(`/revisions/${thirdId}`);
  const review = await maintainer.client.post<Review>(`/revisions/${thirdId}/reviews`, {
    note: 'Ready for the first cars.',
  });
  await reviewer.client.post<Review>(`/reviews/${review.id}/decision`, {
    decision: 'approved',
    contentHash,
    reason: 'Every step lies within the limits and has its evidence.',
  });
  const share = (part: number, minShifts: number, minVehicles: number) => {
    return { size: { kind: 'share', share: part }, minShifts, minVehicles };
  };
  const { id } = await maintainer.client.post<ReleaseResponse>('/releases', {
    revisionId: thirdId,
    replacesId: secondId,
    words:
      'Apply pressures corrected where the club drove most. Upshifts under load should no longer run away; tell us if ' +
      'one of them has become harsh.',
    cohort: { tags: [FIRST_WAVE] },
    stages: [share(0.75, 2000, 4), share(1, 4000, 6)],
  });
  await maintainer.client.post<ReleaseResponse>(`/releases/${id}/acts`, { act: 'start', reason: '' });
}

/** Those that drive it already, and some more. */
async function chooseFirstWave({ maintainer: { client }, cars, drives }: ReleaseOptions): Promise<void> {
  const driving = new Set(drives.filter(({ revision }) => revision === 'r3').map(({ carIndex }) => carIndex));
  let more = MORE_CARS;
  for (const [i, { vehicleId }] of cars.entries()) {
    const isFirst = driving.has(i) || more-- > 0;
    if (isFirst)
      await client.put(`/vehicles/${vehicleId}/tags`, { tags: i === 0 ? [FIRST_WAVE, 'towing'] : [FIRST_WAVE] });
  }
}

const UNITS = [
  { serial: 'CU-0007', hardware: 'B', firmware: '2.1' },
  { serial: 'CU-0008', hardware: 'B', firmware: '2.0' },
  { serial: 'CU-0011', hardware: 'C', firmware: '2.1' },
] as const;

/** Units in the first cars, one on the shelf, and an applicant who waits for it. */
async function handOutUnits({ maintainer: { client }, cars }: ReleaseOptions): Promise<void> {
  for (const [i, unit] of [...UNITS, { serial: 'CU-0012', hardware: 'C', firmware: '' }].entries()) {
    const { id } = await client.post<ControlUnit>('/control-units', { ...unit, platformId: TERN_PLATFORM.id });
    const car = i < UNITS.length ? cars[i] : undefined;
    if (car) await client.patch<ControlUnit>(`/control-units/${id}`, { vehicleId: car.vehicleId, note: 'Fitted.' });
  }
  const { items } = await client.get<{ items: Application[] }>('/applications');
  const first = items.at(-1);
  if (first) await client.put(`/applications/${first.id}/unit-wait`, { waits: true });
}
