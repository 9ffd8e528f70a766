import { DamageLedger } from '../damage-ledger.js';
import { joinedFindings } from '../join/joined-findings.js';
import { RateJoiner } from '../join/rate-joiner.js';
import { SingleRate } from '../join/single-rate.js';
import { LogFormatError } from '../log-format-error.js';
import { DEFAULT_BATCH_SIZE, type ReadFindings } from '../log-reader.js';
import { planSignals, type SignalPlan } from '../plan-signals.js';
import type { SignalMap } from '../signal-map.js';
import type { SignalBatch } from '../signals.js';
import type { RoadToShaft } from '../units.js';
import { GroupSamples, makeTable } from './group-samples.js';
import { groupsOf } from './inspect-mdf.js';
import { listColumns } from './list-columns.js';
import type { Inflate, RandomAccess } from './random-access.js';
import { SampleWalk } from './sample-walk.js';
import { type MdfStructure, readStructure } from './structure.js';

export interface MdfReaderOptions {
  readonly map: SignalMap;
  readonly inflate: Inflate;
  /** Needed when a road speed stands for the output speed. */
  readonly car?: RoadToShaft | undefined;
  /** Samples per batch. Default 8192. */
  readonly batchSize?: number;
  /** The arrays of a batch are only lent and may be filled anew when the next one is asked for. Default false. */
  readonly isLending?: boolean;
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
}

class MdfBatches implements MdfReader {
  private readonly access: RandomAccess;
  private readonly structure: MdfStructure;
  private readonly signals: readonly SignalPlan[];
  private readonly sources: readonly Source[];
  private readonly rows: RateJoiner | SingleRate;
  private readonly damage = new DamageLedger();
  private readonly batchSize: number;
  private readonly isLending: boolean;

  constructor(access: RandomAccess, options: MdfReaderOptions) {
    const { map, inflate, car, batchSize = DEFAULT_BATCH_SIZE, isLending = false } = options;
    this.access = access;
    this.batchSize = batchSize;
    this.isLending = isLending;
    this.structure = readStructure(access);
    const { time, columns } = listColumns(this.structure);
    this.signals = planSignals(map, time === null ? columns : [time, ...columns], car);
    const slotOf = new Map(this.signals.map(({ entry }, slot) => [entry.column, slot]));
    const mapped = columns.filter(({ name }) => slotOf.has(name));
    this.sources = groupsOf(mapped).map((group) => {
      const slots = group.map(({ name }) => slotOf.get(name) ?? 0);
      const mappedColumns = group.map((column, i) => ({ column, plan: this.signals[slots[i]] }));
      return { samples: new GroupSamples(this.structure.file, mappedColumns, inflate), slots };
    });
    const ids = this.signals.map(({ entry }) => entry.signal);
    this.rows = this.sources.length === 1 ? new SingleRate(ids) : new RateJoiner(ids, batchSize);
  }

  *batches(): Generator<SignalBatch, void, undefined> {
    if (this.rows instanceof SingleRate) yield* this.plainBatches(this.rows, this.sources[0]);
    else yield* this.joinedBatches(this.rows);
    this.assertRead();
  }

  findings(): ReadFindings {
    const { startUtcMs } = this.structure;
    const { startTimeS } = this.rows;
    const hasStart = startUtcMs !== null && !Number.isNaN(startTimeS);
    return {
      ...joinedFindings(this.rows, this.damage),
      byteCount: this.access.sizeBytes,
      startInstant: hasStart ? { utcMs: Math.round(startUtcMs + startTimeS * 1000), hasZone: true } : null,
    };
  }

  /** A map names no column twice, so that the records of a single group have all signals. */
  private *plainBatches(rows: SingleRate, { samples, slots }: Source): Generator<SignalBatch, void, undefined> {
    const { batchSize, isLending } = this;
    const table = makeTable(slots.length, batchSize);
    const taken = (values: Float64Array, count: number) =>
      isLending ? values.subarray(0, count) : values.slice(0, count);
    let count = batchSize;
    while (count === batchSize) {
      count = samples.fill(table);
      for (const { damage } of samples.notes) this.damage.add(damage);
      if (count === 0) return;
      const columns: Float64Array[] = [];
      for (const [i, slot] of slots.entries()) columns[slot] = taken(table.columns[i], count);
      yield rows.batchOf(taken(table.timeS, count), columns);
    }
  }

  private *joinedBatches(joiner: RateJoiner): Generator<SignalBatch, void, undefined> {
    const walks = this.sources.map(({ samples, slots }) => new SampleWalk(samples, slots, this.damage));
    for (const walk of walks) walk.next();
    for (let walk = earliest(walks); walk !== undefined; walk = earliest(walks)) {
      joiner.push(walk.timeS, walk.slots, walk.values);
      walk.next();
      const full = joiner.takeFull();
      if (full.length > 0) yield* full;
    }
    yield* joiner.end();
  }

  private assertRead(): void {
    if (this.rows.sampleCount > 0) return;
    throw new LogFormatError('nothing_readable', {
      found: `${this.sources.length} groups with mapped channels and no sample in them`,
      expected: 'records with a time',
    });
  }
}

/** Whose sample comes next in time; of equal times the first in the file. */
function earliest(walks: readonly SampleWalk[]): SampleWalk | undefined {
  let first: SampleWalk | undefined;
  for (const walk of walks) {
    if (walk.hasSample && !(walk.timeS >= (first?.timeS ?? Infinity))) first = walk;
  }
  return first;
}
