import { open } from 'node:fs/promises';

/** Makes the names in a folder last a loss of power: a rename is safe only after this. */
export async function syncFolder(folder: string): Promise<void> {
  const handle = await open(folder, 'r');
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}
