import { z } from 'zod';

const text = z.string().optional().catch(undefined);
const index = z.coerce.number().int().min(0).optional().catch(undefined);

/** What stands in the cells of a proposal. */
export const PROPOSAL_SHOWS = ['correction', 'change', 'after', 'uncertainty', 'evidence', 'reason'] as const;
export type ProposalShow = (typeof PROPOSAL_SHOWS)[number];

/** View of the Proposal page: table, variant and cell that are looked at, and what the cells show. */
export const proposalSearch = z.object({
  table: text,
  variant: text,
  row: index,
  column: index,
  show: z.enum(PROPOSAL_SHOWS).optional().catch(undefined),
});
export type ProposalSearch = z.infer<typeof proposalSearch>;
