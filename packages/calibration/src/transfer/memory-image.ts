/** Bytes at their place in the control unit's memory. */
export interface MemoryImage {
  readonly startAddress: number;
  readonly bytes: Uint8Array;
}

/** The part of the memory that a file may fill: [startAddress, startAddress + byteCount). */
export interface AddressWindow {
  readonly startAddress: number;
  readonly byteCount: number;
}

/** An address as it is written in messages: hexadecimal, at least four digits. */
export function addressText(address: number): string {
  return `0x${address.toString(16).toUpperCase().padStart(4, '0')}`;
}

/** A stretch of addresses, both ends inclusive. */
export function rangeText(startAddress: number, byteCount: number): string {
  return byteCount === 1
    ? addressText(startAddress)
    : `${addressText(startAddress)} to ${addressText(startAddress + byteCount - 1)}`;
}
