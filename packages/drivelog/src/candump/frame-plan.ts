import { type BitField, bytesNeeded, readBits } from '../read-bits.js';
import type { BusSignal } from './bus-signal.js';

/** One signal of a frame, ready to be read. */
interface FieldPlan {
  readonly slot: number;
  readonly field: BitField;
  readonly bytes: number;
  readonly selector: (BitField & { readonly value: number; readonly bytes: number }) | null;
  readonly scale: number;
  readonly offset: number;
  readonly noValueRaw: readonly number[];
}

/** What one frame held: `values[i]` is the signal with index `slots[i]`, in the unit of the list. NaN is “no value”. */
export interface FrameValues {
  slots: number[];
  values: number[];
  /** Signals of this identifier that did not fit into the bytes that came. */
  shortSignals: number;
}

const NO_FIELDS: readonly FieldPlan[] = [];

/** Finds and reads the signals of each frame. */
export class FramePlan {
  private readonly standard: (readonly FieldPlan[] | undefined)[] = [];
  private readonly extended = new Map<number, readonly FieldPlan[]>();

  /** `signals[i]` gets slot i. The list must have passed `checkBusSignals`. */
  constructor(signals: readonly BusSignal[]) {
    for (const [slot, signal] of signals.entries()) {
      const fields = [...this.fieldsOf(signal.identifier, signal.extended ?? false), planField(slot, signal)];
      if (signal.extended) this.extended.set(signal.identifier, fields);
      else this.standard[signal.identifier] = fields;
    }
  }

  has(identifier: number, isExtended: boolean): boolean {
    return this.fieldsOf(identifier, isExtended).length > 0;
  }

  /** Reads the signals of a data frame into `into`. */
  read(identifier: number, isExtended: boolean, data: Uint8Array, length: number, into: FrameValues): void {
    into.slots = [];
    into.values = [];
    into.shortSignals = 0;
    for (const plan of this.fieldsOf(identifier, isExtended)) {
      const { selector } = plan;
      if (length < plan.bytes || (selector !== null && length < selector.bytes)) {
        into.shortSignals++;
        continue;
      }
      if (selector !== null && readBits(data, 0, selector) !== selector.value) continue;
      const raw = readBits(data, 0, plan.field);
      into.slots.push(plan.slot);
      into.values.push(plan.noValueRaw.includes(raw) ? NaN : raw * plan.scale + plan.offset);
    }
  }

  private fieldsOf(identifier: number, isExtended: boolean): readonly FieldPlan[] {
    return (isExtended ? this.extended.get(identifier) : this.standard[identifier]) ?? NO_FIELDS;
  }
}

function planField(slot: number, signal: BusSignal): FieldPlan {
  const { startBit, length, byteOrder, signed, scale, offset, multiplexer, noValueRaw = [] } = signal;
  const field: BitField = { startBit, length, byteOrder, signed };
  const selector = multiplexer && { ...multiplexer, signed: false };
  return {
    slot,
    field,
    bytes: bytesNeeded(field),
    selector: selector ? { ...selector, bytes: bytesNeeded(selector) } : null,
    scale,
    offset,
    noValueRaw,
  };
}
