import { DISTRIBUTED, SHIFT_SORTS, shiftFilter } from '@syncline/contract';
import { z } from 'zod';

const text = z.string().optional().catch(undefined);
const number = z.coerce.number().optional().catch(undefined);

/** View of the Shifts page: filters, order, columns, and the quantity whose distribution is drawn. */
export const shiftsSearch = z.object({
  platform: text,
  revision: text,
  vehicle: text,
  log: text,
  kind: text,
  grade: shiftFilter.shape.grade.catch(undefined),
  program: text,
  dialect: text,
  engine: text,
  loadMin: number,
  loadMax: number,
  inputSpeedMin: number,
  inputSpeedMax: number,
  fluidTemperatureMin: number,
  fluidTemperatureMax: number,
  sort: z.enum(SHIFT_SORTS).optional().catch(undefined),
  quantity: z.enum(DISTRIBUTED).optional().catch(undefined),
  columns: text,
});
export type ShiftsSearch = z.infer<typeof shiftsSearch>;
