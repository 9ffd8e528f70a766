import type { CsvDialect } from './csv-dialect.js';

/** Decodes fields of a row; most are short and ASCII, which needs no decoder. */
export class FieldText {
  private readonly decoder: InstanceType<typeof TextDecoder>;

  constructor(encoding: CsvDialect['encoding']) {
    this.decoder = new TextDecoder(encoding);
  }

  /** Text of the bytes from `start` to `end`, trimmed. */
  decode(bytes: Uint8Array, start: number, end: number): string {
    if (end - start > 32) return this.decoder.decode(bytes.subarray(start, end)).trim();
    let text = '';
    for (let i = start; i < end; i++) {
      const byte = bytes[i];
      if (byte > 127) return this.decoder.decode(bytes.subarray(start, end)).trim();
      text += String.fromCharCode(byte);
    }
    return text.trim();
  }
}
