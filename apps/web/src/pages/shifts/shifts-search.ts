import { SHIFT_SORTS } from '@syncline/contract';
import { z } from 'zod';

const text = z.string().optional().catch(undefined);
const number = z.coerce.number().optional().catch(undefined);

/** View of the Shifts page: filters, order, columns and page. */
export const shiftsSearch = z.object({
  platform: text,
  revision: text,
  vehicle: text,
  log: text,
  kind: text,
  grade: z.enum(['clean', 'flare', 'tie-up', 'harsh', 'slow', 'incomplete']).optional().catch(undefined),
  program: text,
  loadMin: number,
  loadMax: number,
  inputSpeedMin: number,
  inputSpeedMax: number,
  fluidTemperatureMin: number,
  fluidTemperatureMax: number,
  sort: z.enum(SHIFT_SORTS).optional().catch(undefined),
  columns: text,
  cursor: text,
  page: number,
});
export type ShiftsSearch = z.infer<typeof shiftsSearch>;
