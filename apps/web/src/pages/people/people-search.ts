import { z } from 'zod';

const text = z.string().optional().catch(undefined);
const moment = z.iso.datetime().optional().catch(undefined);

/** View of the People page: whose account is open, which entries of the audit trail are listed, and which page of them. */
export const peopleSearch = z.object({
  /** Id of the person whose account is open. */
  account: text,
  who: text,
  subject: text,
  action: text,
  from: moment,
  until: moment,
  /** Cursor of the page of entries, and its number. */
  audit: text,
  auditPage: z.coerce.number().int().min(1).optional().catch(undefined),
});
export type PeopleSearch = z.infer<typeof peopleSearch>;
