import { z } from 'zod';
import { id, instant, pageOf, pageQuery, shortText } from './common.js';
import { band } from './fleet.js';
import { REQUEST_STATES } from './states.js';

const count = z.number().int();
const bandIndex = z.number().int().min(0).max(20);
const share = z.number().describe('share, 0 to 1');

export const gapQuery = z.object({
  platform: id,
  revision: id.optional(),
  program: z.string().max(64).optional(),
});

/** Shift kind, load band and fluid temperature band. */
const point = z.object({ kind: z.string().min(1).max(20), loadBand: bandIndex, fluidTemperatureBand: bandIndex });

/** Why a drive at a point matters, in figures. */
const gainReason = z.object({
  shifts: count.describe('in which a flare could be told'),
  vehicles: count,
  missingDialects: z.array(z.string()).describe('of the fleet, that no car has driven there with'),
  rate: share.describe('flare rate that is believed of the point'),
  widthNow: share.describe('width of the 95 % interval of that rate'),
  widthAfter: share.describe('width to be expected after such a drive of a further car'),
  usageShare: share.describe('of the fleet’s shifts that fall on the point, smoothed'),
  probabilityAbove: share.describe('that the flare rate is above the bound'),
  gain: z.number().describe('usage share × probability above × (width now − width after)'),
});
export type GainReason = z.infer<typeof gainReason>;

export const LACKS = ['shifts', 'vehicles', 'dialects'] as const;
export const coverageGap = gainReason.extend({
  kind: z.string(),
  from: count,
  to: count,
  load: band,
  fluidTemperature: band,
  lacks: z.array(z.enum(LACKS)),
  wantedShifts: count.describe('suggestion, of all cars together'),
  wantedVehicles: count,
  openRequests: count.describe('open requests for this point'),
});
export type CoverageGap = z.infer<typeof coverageGap>;
/** Points with too little evidence, those where a drive tells most first. */
export const gapsResponse = z.object({
  items: z.array(coverageGap),
  askShifts: count.describe('shifts of a further car that the gain is of'),
  rateBound: share.describe('flare rates above this hurt'),
  carCorrelation: z.number().describe('between two shifts of one car at one point'),
  neededShifts: count,
  neededVehicles: count,
});
export type GapsResponse = z.infer<typeof gapsResponse>;

export const gapCarsQuery = gapQuery.extend({
  kind: point.shape.kind,
  loadBand: z.coerce.number().pipe(bandIndex),
  fluidTemperatureBand: z.coerce.number().pipe(bandIndex),
});
export const gapCar = z.object({
  vehicleId: id,
  title: z.string(),
  ownerName: z.string(),
  dialect: z.string().nullable().describe('observed'),
  revisionLabel: z.string().nullable(),
  lastDrivenAt: instant.nullable(),
  runs: z.enum(['runs', 'mayRun', 'mayNot']).describe('the revision that is asked about'),
  isActive: z.boolean().describe('driven within sixty days'),
  reach: z.enum(['there', 'beside', 'no']).describe('how near its logs come to the point'),
  bringsDialect: z.boolean(),
  ownShifts: count,
  gain: z.number(),
  widthAfter: share,
  openRequests: count.describe('that the car has open already'),
  isSuitable: z.boolean(),
});
export type GapCar = z.infer<typeof gapCar>;
/** Those worth asking first, then by what each would bring. */
export const gapCarsResponse = z.object({ items: z.array(gapCar) });

export type RequestState = (typeof REQUEST_STATES)[number];
/** Longest time that a request stays open (days). */
export const MAX_REQUEST_DAYS = 180;

export const createDriveRequest = point
  .extend({
    platformId: id,
    revisionId: id.nullable().default(null).describe('null counts shifts under any revision'),
    program: z.string().max(64).nullable().default(null),
    wantedShifts: z.number().int().min(1).max(200).describe('of all cars together'),
    wantedVehicles: z.number().int().min(1).max(50),
    words: shortText.describe('what to drive, as one would say it; how often is told beside it'),
    vehicleIds: z.array(id).min(1, 'choose at least one car').max(50),
    days: z.number().int().min(1).max(MAX_REQUEST_DAYS).default(42),
  })
  .refine(({ vehicleIds }) => new Set(vehicleIds).size === vehicleIds.length, {
    path: ['vehicleIds'],
    message: 'each car at most once',
  })
  .refine(({ wantedVehicles, vehicleIds }) => wantedVehicles <= vehicleIds.length, {
    path: ['wantedVehicles'],
    message: 'no more cars than are asked',
  })
  .refine(({ wantedShifts, wantedVehicles }) => wantedVehicles <= wantedShifts, {
    path: ['wantedShifts'],
    message: 'at least one shift of each car',
  });

const requestCar = z.object({
  vehicleId: id,
  title: z.string(),
  ownerName: z.string(),
  state: z.enum(['asked', 'declined', 'met']),
  reason: z.string(),
  answeredAt: instant.nullable(),
  shifts: count.describe('of this car since the request'),
  isOwn: z.boolean(),
});
export type RequestCar = z.infer<typeof requestCar>;

export const driveRequest = z.object({
  id,
  platformId: id,
  platformTitle: z.string(),
  revisionId: id.nullable(),
  revisionLabel: z.string().nullable(),
  kind: z.string(),
  from: count,
  to: count,
  load: band,
  fluidTemperature: band,
  program: z.string().nullable(),
  words: z.string(),
  wantedShifts: count,
  wantedVehicles: count,
  shiftsPerCar: count.describe('what one car is asked for'),
  state: z.enum(REQUEST_STATES),
  reason: gainReason,
  /** Of every car of the platform, in drives that came in since. A car counts once it has brought its share. */
  progress: z.object({ shifts: count, vehicles: count }),
  createdByName: z.string(),
  createdAt: instant,
  expiresAt: instant,
  closedAt: instant.nullable(),
  closedByName: z.string().nullable(),
  closingNote: z.string(),
  /** A tester sees none but her own. */
  cars: z.array(requestCar),
});
export type DriveRequest = z.infer<typeof driveRequest>;

export const driveRequestListQuery = pageQuery.extend({
  platform: id.optional(),
  state: z.enum(REQUEST_STATES).optional(),
});
export const driveRequestPage = pageOf(driveRequest);

const reason = z.string().trim().max(500).default('');
export const withdrawDriveRequest = z.object({ reason });
export const answerDriveRequest = z.object({ vehicleId: id, answer: z.enum(['decline', 'accept']), reason });
