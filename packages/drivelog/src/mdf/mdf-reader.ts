import { DamageLedger } from '../damage-ledger.js';
import { joinedFindings } from '../join/joined-findings.js';
import { RateJoiner } from '../join/rate-joiner.js';
import { LogFormatError } from '../log-format-error.js';
import { DEFAULT_BATCH_SIZE, type ReadFindings } from '../log-reader.js';
import { planSignals, type SignalPlan } from '../plan-signals.js';
import type { SignalMap } from '../signal-map.js';
import type { SignalBatch } from '../signals.js';
import type { RoadToShaft } from '../units.js';
import { type ValueReader, valueReaders } from '../value-readers.js';
import { GroupSamples } from './group-samples.js';
import { groupsOf } from './inspect-mdf.js';
import { listColumns } from './list-columns.js';
import type { Inflate, RandomAccess } from './random-access.js';
import { type MdfStructure, readStructure } from './structure.js';

export interface MdfReaderOptions {
  readonly map: SignalMap;
  readonly inflate: Inflate;
  /** Needed when a road speed stands for the output speed. */
  readonly car?: RoadToShaft | undefined;
  /** Samples per batch. Default 8192. */
  readonly batchSize?: number;
}

/** A log that is read by asking for its batches instead of pushing its bytes, since its parts lie anywhere in the file. */
export interface MdfReader {
  /** The batches in order; to be walked once. Throws LogFormatError like `LogReader.push`. */
  batches(): Generator<SignalBatch, void, undefined>;
  /** Complete after the last batch. In `firstDamage`, `line` is the number of the record and `byteOffset` its group's. */
  findings(): ReadFindings;
}

/**
 * Reads an MDF 4 file in bounded memory: the mapped channels of all groups, joined to one time base (see `RateJoiner`);
 * channels of one group come as recorded. Records without time are left out, values that are no state of their signal
 * are missing; both are counted. Throws LogFormatError when the file is damaged or does not fit the map.
 */
export function createMdfReader(access: RandomAccess, options: MdfReaderOptions): MdfReader {
  return new MdfBatches(access, options);
}

/** A group being read: `slots[i]` is the signal of its column i. */
interface Source {
  readonly samples: GroupSamples;
  readonly slots: readonly number[];
  readonly values: number[];
  hasRecord: boolean;
}

class MdfBatches implements MdfReader {
  private readonly access: RandomAccess;
  private readonly structure: MdfStructure;
  private readonly signals: readonly SignalPlan[];
  private readonly readers: readonly ValueReader[];
  private readonly sources: Source[];
  private readonly joiner: RateJoiner;
  private readonly damage = new DamageLedger();

  constructor(access: RandomAccess, { map, inflate, car, batchSize = DEFAULT_BATCH_SIZE }: MdfReaderOptions) {
    this.access = access;
    this.structure = readStructure(access);
    const { time, columns } = listColumns(this.structure);
    this.signals = planSignals(map, time === null ? columns : [time, ...columns], car);
    this.readers = valueReaders(this.signals);
    this.joiner = new RateJoiner(
      this.signals.map(({ entry }) => entry.signal),
      batchSize,
    );
    const slotOf = new Map(this.signals.map(({ entry }, slot) => [entry.column, slot]));
    const mapped = columns.filter(({ name }) => slotOf.has(name));
    this.sources = groupsOf(mapped).map((group) => ({
      samples: new GroupSamples(this.structure.file, group, inflate),
      slots: group.map(({ name }) => slotOf.get(name) ?? 0),
      values: group.map(() => NaN),
      hasRecord: false,
    }));
  }

  *batches(): Generator<SignalBatch, void, undefined> {
    for (const source of this.sources) this.advance(source);
    for (let source = this.earliest(); source !== undefined; source = this.earliest()) {
      this.joiner.push(source.samples.timeS, source.slots, source.values);
      this.advance(source);
      const full = this.joiner.takeFull();
      if (full.length > 0) yield* full;
    }
    yield* this.joiner.end();
    this.assertRead();
  }

  findings(): ReadFindings {
    const { startUtcMs } = this.structure;
    const { startTimeS } = this.joiner;
    const hasStart = startUtcMs !== null && !Number.isNaN(startTimeS);
    return {
      ...joinedFindings(this.joiner, this.damage),
      byteCount: this.access.sizeBytes,
      startInstant: hasStart ? { utcMs: Math.round(startUtcMs + startTimeS * 1000), hasZone: true } : null,
    };
  }

  /** The source whose record comes next in time; of equal times the first in the file. */
  private earliest(): Source | undefined {
    let earliest: Source | undefined;
    for (const source of this.sources) {
      if (source.hasRecord && !(source.samples.timeS >= (earliest?.samples.timeS ?? Infinity))) earliest = source;
    }
    return earliest;
  }

  /** Goes to the next record that has a time. */
  private advance(source: Source): void {
    const { samples } = source;
    while ((source.hasRecord = samples.next())) {
      if (Number.isFinite(samples.timeS)) return this.readValues(source);
      this.note(samples, 'time_missing', null, 'a record without a time');
    }
    if (samples.missingRecords > 0) {
      const { recordCount } = samples.columns[0].group;
      this.note(
        samples,
        'too_few_fields',
        null,
        `${samples.missingRecords} of ${recordCount} records missing at the end`,
      );
    }
  }

  private readValues({ samples, slots, values }: Source): void {
    for (let i = 0; i < slots.length; i++) {
      const value = this.readers[slots[i]](samples.values[i]);
      if (value === undefined)
        this.note(samples, 'value_unreadable', samples.columns[i].name, String(samples.values[i]));
      values[i] = value ?? NaN;
    }
  }

  private note(
    samples: GroupSamples,
    reason: 'time_missing' | 'too_few_fields' | 'value_unreadable',
    column: string | null,
    found: string,
  ): void {
    const byteOffset = samples.columns[0].group.offset;
    this.damage.add({ line: samples.recordCount, byteOffset, column, reason, found: found.slice(0, 60) });
  }

  private assertRead(): void {
    if (this.joiner.sampleCount > 0) return;
    throw new LogFormatError('nothing_readable', {
      found: `${this.sources.length} groups with mapped channels and no sample in them`,
      expected: 'records with a time',
    });
  }
}
