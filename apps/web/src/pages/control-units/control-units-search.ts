import { z } from 'zod';

const text = z.string().optional().catch(undefined);

export const controlUnitsSearch = z.object({
  /** The unit that is looked at. */
  unit: text,
  /** Make that a recall is about. */
  hardware: text,
  firmware: text,
});
export type ControlUnitsSearch = z.infer<typeof controlUnitsSearch>;
