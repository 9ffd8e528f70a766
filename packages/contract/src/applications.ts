import { z } from 'zod';
import { id, instant, pageOf, pageQuery, shortText } from './common.js';
import { APPLICATION_STATES } from './states.js';
import { SAFETY_TERMS } from './terms.js';

/** Where a car is driven, as its owner would say it. */
export const CLIMATES = ['frost', 'mild', 'heat', 'mountains'] as const;
export const climate = z.enum(CLIMATES);
export type Climate = z.infer<typeof climate>;

/**
 * What an applicant agrees to. A change of the words raises the version, so that it is known who agreed to what; a form
 * with older words is refused.
 */
export const CONSENT_VERSION = 1;
export const CONSENT_TEXT: readonly string[] = [
  ...SAFETY_TERMS,
  'What I enter here is read by the maintainers and reviewers of this club alone. A declined application is deleted after 180 days, and any at once when I ask for it.',
];

const text = (length: number) => z.string().trim().max(length);

export const createApplicationRequest = z.object({
  name: shortText,
  email: z
    .email()
    .max(200)
    .transform((value) => value.toLowerCase()),
  car: shortText.describe('make and model'),
  engine: text(120).default(''),
  gearboxLabel: text(120).default('').describe('what the label on the gearbox says'),
  platformId: id.nullable().default(null),
  dialect: id.nullable().default(null).describe('bus dialect, where it is known'),
  place: text(120).default('').describe('country or region'),
  climates: z
    .array(climate)
    .max(CLIMATES.length)
    .default([])
    .refine((climates) => new Set(climates).size === climates.length, 'each at most once'),
  yearlyKm: z.number().int().min(0).max(500_000).nullable().default(null),
  logger: text(200).default('').describe('what records the drives'),
  hasConsented: z.literal(true, 'the club cannot take an application without it'),
  consentVersion: z.literal(CONSENT_VERSION, 'load the form again: what is agreed to has changed'),
});

/** The same for everybody, so that nobody learns who has applied. */
export const applicationReceived = z.object({ isReceived: z.literal(true) });

/** What the form needs. Nothing is told of a club that takes no applications. */
export const applicationForm = z.discriminatedUnion('isOpen', [
  z.object({ isOpen: z.literal(false) }),
  z.object({
    isOpen: z.literal(true),
    clubName: z.string(),
    callText: z.string(),
    platforms: z.array(
      z.object({ id, title: z.string(), dialects: z.array(z.object({ id: z.string(), title: z.string() })) }),
    ),
  }),
]);
export type ApplicationForm = z.infer<typeof applicationForm>;

export const NEED_DIMENSIONS = ['platform', 'dialect', 'engine', 'temperature'] as const;
export const profileNeed = z.object({
  dimension: z.enum(NEED_DIMENSIONS),
  value: z.string(),
  title: z.string(),
  platformId: id,
  platformTitle: z.string(),
  cars: z.number().int(),
  active: z.number().int().describe('driven within sixty days'),
  verified: z.number().int().describe('bus dialect confirmed, or decided by a maintainer'),
  needed: z.number().int().describe('active cars that a rate needs'),
  isLacking: z.boolean(),
});
export type ProfileNeed = z.infer<typeof profileNeed>;

export const recruitmentResponse = z.object({
  isOpen: z.boolean(),
  callText: z.string(),
  suggestedText: z.string().describe('made from what is lacking now'),
  changedByName: z.string().nullable(),
  changedAt: instant.nullable(),
  needs: z.array(profileNeed),
});
export type RecruitmentResponse = z.infer<typeof recruitmentResponse>;
export const recruitmentRequest = z.object({ isOpen: z.boolean(), callText: text(2000) });

export type ApplicationState = (typeof APPLICATION_STATES)[number];

export const application = z.object({
  id,
  state: z.enum(APPLICATION_STATES),
  name: z.string(),
  email: z.string(),
  car: z.string(),
  engine: z.string(),
  gearboxLabel: z.string(),
  platformId: id.nullable(),
  platformTitle: z.string().nullable(),
  dialect: z.string().nullable(),
  place: z.string(),
  climates: z.array(climate),
  yearlyKm: z.number().int().nullable(),
  logger: z.string(),
  consentVersion: z.number().int(),
  receivedAt: instant,
  decidedByName: z.string().nullable(),
  decidedAt: instant.nullable(),
  note: z.string(),
  sameAddress: z.number().int().describe('other applications from this e-mail address'),
  fills: z.array(profileNeed).describe('lacking profiles that the car would fill'),
});
export type Application = z.infer<typeof application>;

export const applicationListQuery = pageQuery.extend({
  state: z.enum(APPLICATION_STATES).optional(),
  platform: id.optional(),
});
export const applicationPage = pageOf(application);

export const decideApplicationRequest = z.object({
  decision: z.enum(['waiting', 'declined']),
  note: text(500).default(''),
});
