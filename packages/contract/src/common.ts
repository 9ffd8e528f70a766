import { z } from 'zod';

/** Ids are opaque, made by the server. */
export const id = z.string().min(1).max(64);
/** Instant in ISO 8601, UTC, with zone. */
export const instant = z.iso.datetime();
export const hash = z.string().regex(/^[0-9a-f]{64}$/, 'expected a SHA-256 in lower-case hex');
export const shortText = z.string().trim().min(1).max(200);
/** Name of a file without folders, so that none can be reached by it; what it is kept under is never this name. */
export const fileName = z
  .string()
  .trim()
  .min(1)
  .max(200)
  .regex(/^[^/\\\p{Cc}]*$/u, 'expected a file name without folders and control characters')
  .refine((name) => name !== '.' && name !== '..', 'expected a file name');
export const longText = z.string().trim().max(4000);

/** Room for a cursor that holds the longest name a list is sorted by (`shortText`), escaped and in base64. */
const MAX_CURSOR_LENGTH = 2000;

/** Query of a list: pages are asked for by the cursor that the page before returned. */
export const pageQuery = z.object({
  cursor: z.string().max(MAX_CURSOR_LENGTH).optional(),
  limit: z.coerce.number().int().min(1).max(200).default(50),
});

/** A page of a list. `nextCursor` is null on the last one; `totalCount` counts all rows that match. */
export function pageOf<T extends z.ZodType>(item: T) {
  return z.object({ items: z.array(item), nextCursor: z.string().nullable(), totalCount: z.number().int() });
}

/** A rate never stands alone: it has its counts and an interval, or says why there is none. */
export const rate = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('estimate'),
    events: z.number().int(),
    shifts: z.number().int(),
    vehicles: z.number().int(),
    rate: z.number(),
    low: z.number(),
    high: z.number(),
  }),
  z.object({
    kind: z.literal('insufficient'),
    events: z.number().int(),
    shifts: z.number().int(),
    vehicles: z.number().int(),
    neededShifts: z.number().int(),
    neededVehicles: z.number().int(),
  }),
]);
export type Rate = z.infer<typeof rate>;
