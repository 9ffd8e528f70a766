import type { Upload, UploadRoom } from '@syncline/contract';
import { hashHead } from '../../api/upload-hash.js';
import { findUnfinished } from '../../api/upload-match.js';
import { toLocalInput } from '../../format/local-time.js';
import { formatBytes } from '../../format/quantity.js';
import { roomLeft } from './upload-room.js';

export interface ChosenFile {
  readonly key: string;
  readonly file: File;
  /** Value of a datetime-local input, in the zone of this computer. */
  readonly drivenAt: string;
  /** Hash of the first bytes; null when they could not be read. */
  readonly head: string | null;
}

export async function toChosen(file: File): Promise<ChosenFile> {
  return {
    key: `${file.name}/${file.size}/${file.lastModified}`,
    file,
    drivenAt: toLocalInput(new Date(file.lastModified)),
    head: await hashHead(file).catch(() => null),
  };
}

/** The unfinished upload that a chosen file goes on with. */
export function unfinishedOf(
  { file, head }: ChosenFile,
  vehicleId: string | undefined,
  uploads: readonly Upload[],
): Upload | undefined {
  if (head === null || vehicleId === undefined) return undefined;
  return findUnfinished({ name: file.name, size: file.size, head }, vehicleId, uploads);
}

/** Why chosen files will be refused, in words; null when nothing speaks against them. */
export function roomFault(chosen: readonly ChosenFile[], newBytes: number, room: UploadRoom): string | null {
  const tooLarge = chosen.filter(({ file }) => file.size > room.maxFileBytes).map(({ file }) => file.name);
  if (tooLarge.length > 0) {
    return `Larger than the ${formatBytes(room.maxFileBytes)} that a file may have: ${tooLarge.join(', ')}. Split the recording.`;
  }
  if (newBytes > roomLeft(room)) {
    return `These files have ${formatBytes(newBytes)}, and there is room for ${formatBytes(roomLeft(room))}. Ask a maintainer for more room.`;
  }
  return null;
}
