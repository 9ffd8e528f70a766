import { crc32, deflateRawSync } from 'node:zlib';

/** One file of an archive; what is stated may differ from what it holds. */
export interface ZippedFile {
  readonly name: string;
  readonly bytes: Uint8Array | string;
  readonly isStored?: boolean;
  readonly isEncrypted?: boolean;
  readonly method?: number;
  readonly statedSize?: number;
  readonly statedCrc?: number;
}

/** A zip archive by the layout of APPNOTE 6.3, written apart from the reader. */
export function zipOf(files: readonly ZippedFile[]): Buffer {
  const parts: Buffer[] = [];
  const directory: Buffer[] = [];
  let offset = 0;
  for (const file of files) {
    const content = Buffer.from(file.bytes);
    const packed = file.isStored ? content : deflateRawSync(content);
    const name = Buffer.from(file.name);
    const fields = Buffer.alloc(26);
    fields.writeUInt16LE(20, 0);
    fields.writeUInt16LE((file.isEncrypted ? 1 : 0) | 0x800, 2);
    fields.writeUInt16LE(file.method ?? (file.isStored ? 0 : 8), 4);
    fields.writeUInt32LE(0x5a_6f_50_00, 6);
    fields.writeUInt32LE(file.statedCrc ?? crc32(content), 10);
    fields.writeUInt32LE(packed.length, 14);
    fields.writeUInt32LE(file.statedSize ?? content.length, 18);
    fields.writeUInt16LE(name.length, 22);
    const local = Buffer.concat([Buffer.from('PK\u0003\u0004', 'latin1'), fields, name, packed]);
    const rest = Buffer.alloc(14);
    rest.writeUInt32LE(offset, 10);
    directory.push(Buffer.concat([Buffer.from('PK\u0001\u0002\u0014\u0000', 'latin1'), fields, rest, name]));
    parts.push(local);
    offset += local.length;
  }
  const list = Buffer.concat(directory);
  const end = Buffer.alloc(18);
  end.writeUInt16LE(files.length, 4);
  end.writeUInt16LE(files.length, 6);
  end.writeUInt32LE(list.length, 8);
  end.writeUInt32LE(offset, 12);
  return Buffer.concat([...parts, list, Buffer.from('PK\u0005\u0006', 'latin1'), end]);
}
