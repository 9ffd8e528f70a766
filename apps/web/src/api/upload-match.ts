import type { Upload } from '@syncline/contract';

/** What is compared to know a file again. */
interface FileMarks {
  readonly name: string;
  readonly size: number;
  /** Hash of the first bytes. */
  readonly head: string;
}

/** In what a file differs from the one that an unfinished upload was begun with, in words; empty when in nothing. */
export function differences(file: FileMarks, upload: Pick<Upload, 'fileName' | 'sizeBytes' | 'head'>): string[] {
  const found: string[] = [];
  if (file.name !== upload.fileName) found.push(`its name is ${file.name}, not ${upload.fileName}`);
  if (file.size !== upload.sizeBytes) found.push(`it has ${file.size} bytes, not ${upload.sizeBytes}`);
  else if (upload.head !== null && file.head !== upload.head) found.push('it begins with other bytes');
  return found;
}

/** The unfinished upload that a file goes on with, if there is one. */
export function findUnfinished(file: FileMarks, vehicleId: string, uploads: readonly Upload[]): Upload | undefined {
  return uploads.find(
    (upload) =>
      upload.state === 'receiving' && upload.vehicleId === vehicleId && differences(file, upload).length === 0,
  );
}
