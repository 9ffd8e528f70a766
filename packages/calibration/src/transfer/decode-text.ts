/** Control characters that no text format of ours has; tab and line ends are not among them. */
const CONTROL = /[^\P{Cc}\t\r\n]/u;

/**
 * The text that bytes hold, or null for bytes that are no text: UTF-8 or UTF-16 with or without their mark, else what
 * older spreadsheets write (windows-1252).
 */
export function decodeText(bytes: Uint8Array): string | null {
  const text = decode(bytes);
  return text === null || CONTROL.test(text) ? null : text;
}

function decode(bytes: Uint8Array): string | null {
  for (const encoding of encodingsOf(bytes)) {
    try {
      return new TextDecoder(encoding, { fatal: true }).decode(bytes);
    } catch {
      // Not in this encoding.
    }
  }
  return null;
}

function encodingsOf(bytes: Uint8Array): string[] {
  if (bytes[0] === 0xff && bytes[1] === 0xfe) return ['utf-16le'];
  if (bytes[0] === 0xfe && bytes[1] === 0xff) return ['utf-16be'];
  return ['utf-8', 'windows-1252'];
}
