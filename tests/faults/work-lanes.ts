import { setTimeout as sleep } from 'node:timers/promises';
import type { DraftResponse, SaveDraftResponse } from '@syncline/contract';
import type { Api } from '../support/api.ts';
import { type TernClub, uploadFile } from '../support/tern-club.ts';

/** How a lane of work ended: it had nothing left, or the server was gone. */
export type End = 'done' | 'interrupted';

/** Works until there is nothing left or the server is gone. A refusal is neither, and is thrown. */
export async function untilGone(work: () => Promise<boolean>): Promise<End> {
  try {
    while (await work());
    return 'done';
  } catch (error) {
    if (isGone(error)) return 'interrupted';
    throw error;
  }
}

/** Whether a request found no server or lost it, as `fetch` says it. */
function isGone(error: unknown): boolean {
  return error instanceof TypeError;
}

/** Uploads one drive after the other; adds to `uploaded` the indices that were answered. */
export function uploadOn(
  tester: Api,
  vehicleId: string,
  files: readonly Uint8Array<ArrayBuffer>[],
  uploaded: Set<number>,
): Promise<End> {
  return untilGone(async () => {
    const index = [...files.keys()].find((candidate) => !uploaded.has(candidate));
    if (index === undefined) return false;
    await uploadFile(tester, vehicleId, files[index]!, `drive-${index}.csv`);
    uploaded.add(index);
    return true;
  });
}

/** Adds to `notes` the texts that were answered. */
export function writeNotes(tester: Api, logId: string, life: number, notes: Set<string>): Promise<End> {
  let count = 0;
  return untilGone(async () => {
    const text = `life ${life}, note ${count++}`;
    await tester.post(`/logs/${logId}/notes`, { atS: count % 50, text });
    notes.add(text);
    await sleep(20);
    return true;
  });
}

/** A mass that enters measures: every log of the car is analysed anew, while others come in. */
export function editCar(tester: Api, { vehicleId }: Pick<TernClub, 'vehicleId'>): Promise<End> {
  let count = 0;
  return untilGone(async () => {
    await tester.patch(`/vehicles/${vehicleId}`, { ratedInputTorqueNm: 330 + (count++ % 7) });
    await sleep(150);
    return true;
  });
}

/** What is known of a draft: the save that was answered last, and what was found wrong since. */
export interface DraftMemory {
  readonly id: string;
  version: number;
  contentHash: string;
  readonly losses: string[];
}

/** Saves one cell after the other, each a save of its own; holds what it finds against what was answered. */
export function saveDraft(maintainer: Api, memory: DraftMemory): Promise<End> {
  let draft: DraftResponse | undefined;
  return untilGone(async () => {
    if (draft === undefined) {
      draft = await maintainer.get<DraftResponse>(`/drafts/${memory.id}`);
      memory.losses.push(...draftLosses(draft, memory));
      Object.assign(memory, { version: draft.version, contentHash: draft.contentHash });
    }
    const { content } = draft;
    const cell = firstCell(content.tables);
    cell.row[cell.column] = cell.row[cell.column]! + (memory.version % 2 === 0 ? 1 : -1);
    const saved = await maintainer.put<SaveDraftResponse>(`/drafts/${memory.id}/content`, {
      version: draft.version,
      content,
    });
    draft = { ...draft, version: saved.version };
    Object.assign(memory, { version: saved.version, contentHash: saved.contentHash });
    await sleep(30);
    return true;
  });
}

/** At most the one save that was not answered may have been kept. */
export function draftLosses({ version, contentHash }: DraftResponse, memory: DraftMemory): string[] {
  if (version === memory.version) {
    return contentHash === memory.contentHash ? [] : [`save ${version} has other content than was answered`];
  }
  return version === memory.version + 1 ? [] : [`the draft is at save ${version}, ${memory.version} was answered`];
}

/** The first cell of the first table, to be written in place. */
function firstCell(tables: DraftResponse['content']['tables']): { readonly row: number[]; readonly column: number } {
  for (const { values } of Object.values(tables)) {
    for (const value of Object.values(values)) {
      const row = (Array.isArray(value) && Array.isArray(value[0]) ? value[0] : value) as number[];
      if (Array.isArray(row) && row.length > 0) return { row, column: 0 };
    }
  }
  throw new Error('the draft has no table');
}
