import { open } from 'node:fs/promises';
import { dirname } from 'node:path';
import { sayIfDiskFull, watchSpace } from './disk-space.js';

/**
 * Writes bytes to a new file, so that they can be read anywhere, and returns how many there were. Not synced: the file
 * is needed only while the process lives. Throws `storage_full`. What is there after an error is the caller's to remove.
 */
export async function spoolToFile(
  chunks: AsyncIterable<Uint8Array>,
  path: string,
  { minFreeBytes }: { readonly minFreeBytes: number },
): Promise<number> {
  const file = await open(path, 'wx');
  let sizeBytes = 0;
  try {
    for await (const chunk of watchSpace(chunks, { folder: dirname(path), minFreeBytes })) {
      await file.appendFile(chunk);
      sizeBytes += chunk.length;
    }
    return sizeBytes;
  } catch (error) {
    throw sayIfDiskFull(error);
  } finally {
    await file.close();
  }
}
