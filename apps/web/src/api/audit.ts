import { type AuditFilter, auditChain, auditPage } from '@syncline/contract';
import { queryOptions } from '@tanstack/react-query';
import { apiUrl, get } from './client.js';

export const AUDIT_PAGE_SIZE = 50;

export const auditQueries = {
  list: (filter: AuditFilter, cursor?: string) =>
    queryOptions({
      queryKey: ['people', 'audit', filter, { cursor }],
      queryFn: ({ signal }) =>
        get('/audit', auditPage, { query: { ...filter, cursor, limit: AUDIT_PAGE_SIZE }, signal }),
    }),
  /** Reads the whole trail on the server: asked for once, and again when somebody wants to know. */
  chain: () =>
    queryOptions({
      queryKey: ['audit-chain'],
      staleTime: Number.POSITIVE_INFINITY,
      refetchOnWindowFocus: false,
      queryFn: ({ signal }) => get('/audit/chain', auditChain, { signal }),
    }),
};

/** Address of the download of all entries that the filter means. */
export function auditFileUrl(format: 'csv' | 'jsonl', filter: AuditFilter): string {
  return apiUrl(`/audit.${format}`, filter);
}
