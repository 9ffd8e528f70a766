import type { BusSignal, SignalId } from '@syncline/drivelog';

/** How the bus of a car is spoken: which frames, how often, and what is in them. */
export interface BusDialect {
  readonly id: string;
  readonly title: string;
  readonly frames: readonly BusFrame[];
}

export interface BusFrame {
  /** Standard, 11 bits. */
  readonly identifier: number;
  readonly periodS: number;
  /** Payload (bytes). What no signal fills means nothing to us. */
  readonly length: number;
  readonly signals: readonly FrameSignal[];
}

/** A signal inside a frame, and what of a drive it carries: raw = (canonical value · perUnit − offset) / scale. */
export interface FrameSignal extends Omit<BusSignal, 'identifier'> {
  readonly signal: SignalId;
  /** Units of the list in one canonical unit, such as 0.01 bar in a kPa. */
  readonly perUnit: number;
}

/** The list by which the frames of a dialect are read, as a maintainer would enter it. */
export function busSignalsOf({ frames }: BusDialect): BusSignal[] {
  return frames.flatMap(({ identifier, signals }) =>
    signals.map(({ signal: _signal, perUnit: _perUnit, ...field }) => ({ ...field, identifier })),
  );
}
