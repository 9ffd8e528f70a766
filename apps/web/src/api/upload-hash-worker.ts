import { Sha256 } from './upload-sha256.js';

/** What the worker tells of its file: how far it has read, then the hash. */
export type HashMessage = { readonly readBytes: number } | { readonly sha256: string } | { readonly fault: string };

const PIECE_BYTES = 4 * 1024 * 1024;

async function hash(file: File): Promise<void> {
  const sha256 = new Sha256();
  for (let offset = 0; offset < file.size; offset += PIECE_BYTES) {
    const piece = file.slice(offset, offset + PIECE_BYTES);
    sha256.update(new Uint8Array(await piece.arrayBuffer()));
    tell({ readBytes: Math.min(file.size, offset + PIECE_BYTES) });
  }
  tell({ sha256: sha256.hex() });
}

function tell(message: HashMessage): void {
  self.postMessage(message);
}

self.onmessage = ({ data }: MessageEvent<File>) => {
  hash(data).catch((error) => tell({ fault: String(error) }));
};
