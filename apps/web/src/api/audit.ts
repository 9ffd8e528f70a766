import { type AuditFilter, auditChain, auditPage } from '@syncline/contract';
import { queryOptions } from '@tanstack/react-query';
import { apiUrl } from './client.js';
import { resource } from './resource.js';

export const AUDIT_PAGE_SIZE = 50;

export const auditQueries = {
  list: (filter: AuditFilter, cursor?: string) =>
    queryOptions({
      queryKey: ['people', 'audit', filter, { cursor }],
      ...resource('/audit', auditPage, { ...filter, cursor, limit: AUDIT_PAGE_SIZE }),
    }),
  /** Reads the whole trail on the server: asked for once, and again when somebody wants to know. */
  chain: () =>
    queryOptions({
      queryKey: ['audit-chain'],
      staleTime: Number.POSITIVE_INFINITY,
      refetchOnWindowFocus: false,
      ...resource('/audit/chain', auditChain),
    }),
};

/** Address of the download of all entries that the filter means. */
export function auditFileUrl(format: 'csv' | 'jsonl', filter: AuditFilter): string {
  return apiUrl(`/audit.${format}`, filter);
}
