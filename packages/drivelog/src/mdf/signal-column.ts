import type { SignalPlan } from '../plan-signals.js';
import type { LinearConversion } from '../units.js';
import { lineOf, type ValueReader, valueReader } from '../value-readers.js';
import type { ChannelReader, NumbersReader } from './channel-reader.js';
import type { RecordRun } from './record-cursor.js';

/**
 * Writes a mapped signal in canonical units into `values`, from index `start` on, one value for each record of a run.
 * What cannot be read is NaN and told to `note`: the index of its record in the run, and what was found.
 */
export type SignalColumn = (run: RecordRun, values: Float64Array, start: number, note: UnreadableNote) => void;

export type UnreadableNote = (index: number, found: number | string) => void;

/** Plans the reading of a signal from its channel, which is undefined when its conversion is not read. */
export function signalColumn(channel: ChannelReader | undefined, plan: SignalPlan): SignalColumn {
  if (channel === undefined) return ({ count }, values, start) => void values.fill(NaN, start, start + count);
  const { numbers } = channel;
  const line = lineOf(plan);
  if (numbers !== undefined && line !== null) return drawnColumn(numbers, line);
  // Numbers without codes are states already.
  if (numbers !== undefined && plan.entry.codes === undefined) return numbers;
  return columnOfEach(channel, valueReader(plan));
}

function drawnColumn(readNumbers: NumbersReader, { factor, offset }: LinearConversion): SignalColumn {
  return (run, values, start, note) => {
    readNumbers(run, values, start);
    for (let i = start; i < start + run.count; i++) {
      const physical = values[i];
      const value = physical * factor + offset;
      values[i] = value;
      if (value === Infinity || value === -Infinity) {
        values[i] = NaN;
        note(i - start, physical);
      }
    }
  };
}

function columnOfEach(channel: ChannelReader, read: ValueReader): SignalColumn {
  return (run, values, start, note) => {
    const physical = channel.values(run);
    for (let i = 0; i < run.count; i++) {
      const value = read(physical[i]);
      values[start + i] = value ?? NaN;
      if (value === undefined) note(i, physical[i]);
    }
  };
}
