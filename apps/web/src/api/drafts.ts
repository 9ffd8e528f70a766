import {
  type createDraftRequest,
  type createMergeRequest,
  type createMigrationRequest,
  draftResponse,
  draftSavesResponse,
  draftSummary,
  draftsResponse,
  mergeResponse,
  migrationResponse,
  type RevisionContentDocument,
  type renameDraftRequest,
  type revertRequest,
  revisionResponse,
  saveDraftResponse,
} from '@syncline/contract';
import { queryOptions, useMutation, useQueryClient } from '@tanstack/react-query';
import { z } from 'zod';
import { apiUrl, send, sendFile } from './client.js';
import { resource } from './resource.js';

const calibrationPath = (id: string) => `/calibrations/${encodeURIComponent(id)}`;
const draftPath = (id: string) => `/drafts/${encodeURIComponent(id)}`;
const revisionPath = (id: string) => `/revisions/${encodeURIComponent(id)}`;

export const draftQueries = {
  /** The open drafts of a calibration. */
  list: (calibrationId: string) =>
    queryOptions({
      queryKey: ['drafts', 'list', calibrationId],
      ...resource(`${calibrationPath(calibrationId)}/drafts`, draftsResponse),
    }),
  one: (draftId: string) =>
    queryOptions({
      queryKey: ['drafts', 'one', draftId],
      ...resource(draftPath(draftId), draftResponse),
    }),
  saves: (draftId: string) =>
    queryOptions({
      queryKey: ['drafts', 'saves', draftId],
      staleTime: 0,
      ...resource(`${draftPath(draftId)}/saves`, draftSavesResponse),
    }),
  merge: (calibrationId: string, ours: string, theirs: string) =>
    queryOptions({
      queryKey: ['drafts', 'merge', calibrationId, ours, theirs],
      ...resource(`${calibrationPath(calibrationId)}/merge`, mergeResponse, { ours, theirs }),
    }),
  /** `renames` as pairs of old and new table id. */
  migration: (revisionId: string, to: number, renames: Readonly<Record<string, string>>) =>
    queryOptions({
      queryKey: ['drafts', 'migration', revisionId, to, renames],
      ...resource(`${revisionPath(revisionId)}/migration`, migrationResponse, {
        to,
        renames: Object.entries(renames)
          .map(([from, now]) => `${from}:${now}`)
          .join(','),
      }),
    }),
};

/** Address of a draft, as it was last saved, as a file. */
export function draftExportUrl(draftId: string, format: 'document' | 'csv' | 'tsv'): string {
  return apiUrl(`${draftPath(draftId)}/export`, { format });
}

/** Saves the content of a draft; not a mutation hook, because the queue of saves outlives any one drawing of a page. */
export function saveDraft(draftId: string, request: { version: number; content: RevisionContentDocument }) {
  return send('PUT', `${draftPath(draftId)}/content`, { body: request, schema: saveDraftResponse });
}

/** Takes, renews, takes over or releases the right to edit a draft. */
export function lockDraft(draftId: string, action: 'take' | 'takeOver' | 'release') {
  return send('POST', `${draftPath(draftId)}/lock`, { body: { action }, schema: draftSummary });
}

/** A change after which the lists of drafts and, if `makesRevision`, the histories of calibrations are read anew. */
function useDraftMutation<Input, Answer>(work: (input: Input) => Promise<Answer>, makesRevision = false) {
  const client = useQueryClient();
  return useMutation({
    mutationFn: work,
    onSuccess: () =>
      Promise.all([
        client.invalidateQueries({ queryKey: ['drafts', 'list'] }),
        makesRevision && client.invalidateQueries({ queryKey: ['calibrations'] }),
      ]),
  });
}

export function useCreateDraft(calibrationId: string) {
  return useDraftMutation((body: z.input<typeof createDraftRequest>) =>
    send('POST', `${calibrationPath(calibrationId)}/drafts`, { body, schema: draftResponse }),
  );
}

export function useRenameDraft(draftId: string) {
  return useDraftMutation((body: z.input<typeof renameDraftRequest>) =>
    send('PATCH', draftPath(draftId), { body, schema: draftSummary }),
  );
}

export function useDiscardDraft(draftId: string) {
  return useDraftMutation(() => send('DELETE', draftPath(draftId), { schema: z.undefined() }));
}

/** Opens a discarded draft again. */
export function useReopenDraft(draftId: string) {
  return useDraftMutation(() => send('POST', `${draftPath(draftId)}/reopen`, { schema: draftSummary }));
}

export function useRestoreDraft(draftId: string) {
  return useDraftMutation((body: { version: number; from: number }) =>
    send('POST', `${draftPath(draftId)}/restore`, { body, schema: draftResponse }),
  );
}

export function useMakeRevision(draftId: string) {
  return useDraftMutation(
    (body: { message: string; contentHash: string }) =>
      send('POST', `${draftPath(draftId)}/revision`, { body, schema: revisionResponse }),
    true,
  );
}

export function useCreateMerge(calibrationId: string) {
  return useDraftMutation((body: z.input<typeof createMergeRequest>) =>
    send('POST', `${calibrationPath(calibrationId)}/merge`, { body, schema: draftResponse }),
  );
}

export function useRevert(revisionId: string) {
  return useDraftMutation((body: z.input<typeof revertRequest>) =>
    send('POST', `${revisionPath(revisionId)}/revert`, { body, schema: draftResponse }),
  );
}

export function useMigrate(revisionId: string) {
  return useDraftMutation((body: z.input<typeof createMigrationRequest>) =>
    send('POST', `${revisionPath(revisionId)}/migration`, { body, schema: draftResponse }),
  );
}

interface ImportChoice {
  readonly file: File;
  readonly parent?: string | undefined;
  readonly layoutVersion?: number | undefined;
  readonly line?: string | undefined;
}

/** A file of tables or a memory image becomes a draft of its own. */
export function useImport(calibrationId: string) {
  return useDraftMutation(({ file, ...query }: ImportChoice) =>
    sendFile(`${calibrationPath(calibrationId)}/import`, file, {
      query: { fileName: file.name, ...query },
      schema: draftResponse,
    }),
  );
}
