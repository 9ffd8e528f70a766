import { z } from 'zod';

/** What everybody agrees to who drives for the club or works on what others drive with. */
export const SAFETY_TERMS: readonly string[] = [
  'Maps are experimental. Wrong clutch pressure can damage a gearbox and endanger people; I drive with them at my own risk and only where the law allows.',
  'Local law and my road authority’s inspection rules come first. Work on the gearbox is done or checked by a qualified workshop.',
  'Nobody looks at a screen or operates a logger while driving: it is started before the drive and read after it.',
];

/**
 * What a member agrees to on joining. A change of the words raises the version: every member is then asked again, and
 * writes nothing until she has agreed.
 */
export const TERMS_VERSION = 1;
export const TERMS: readonly string[] = [
  ...SAFETY_TERMS,
  'What I upload and write here is read by the maintainers, reviewers and readers of this club; other testers see figures of the fleet, never my cars or drives. What I do is kept in an audit trail that nobody can alter.',
];

export const termsConsent = z.object({
  hasConsented: z.literal(true, 'the club cannot take you in without it'),
  termsVersion: z.literal(TERMS_VERSION, 'load the page again: what is agreed to has changed'),
});
