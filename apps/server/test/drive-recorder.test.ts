import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { SignalBatch, SignalId } from '@syncline/drivelog';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { createRecorder, type DriveRecorder, type RecorderTask } from '../src/workers/recorder/drive-recorder.js';
import { startRecorder } from '../src/workers/recorder/start-recorder.js';

const IDS = ['inputSpeed', 'outputSpeed', 'load', 'mark'] as const satisfies SignalId[];
const SAMPLES = 40_000;

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'syncline-recorder-'));
});
afterEach(() => rmSync(folder, { recursive: true }));

type Begin = (task: RecorderTask) => DriveRecorder | Promise<DriveRecorder>;

const taskAt = (signalPath: string): RecorderTask => ({
  signalPath,
  signalIds: IDS,
  reference: { gearRatios: [4, 2, 1], car: { tyreRadiusM: 0.35, finalDriveRatio: 3.9 } },
});

/** Speeds that meet no gear, an uneven clock, presses, and a load that is not in every batch. */
function samplesOf(from: number, count: number): SignalBatch {
  const column = (value: (index: number) => number) => Float64Array.from({ length: count }, (_, i) => value(from + i));
  const signals: SignalBatch['signals'] = {
    inputSpeed: column((i) => 2000 + 500 * Math.sin(i / 300)),
    outputSpeed: column((i) => 900 + Math.round(300 * Math.sin(i / 500))),
    mark: column((i) => Number(i % 9000 > 8900)),
  };
  const load = column((i) => (i % 97 < 30 ? Number.NaN : (i % 50) / 8));
  return {
    startIndex: from,
    timeS: column((i) => i / 100 + (i % 7 === 0 ? 0.002 : 0)),
    signals: from % 2 === 0 ? { ...signals, load } : signals,
  };
}

/** What a recorder makes of the drive in batches of these sizes; its arrays are used again after each. */
async function record(begin: Begin, sizes: readonly number[]) {
  const path = join(mkdtempSync(join(folder, 'drive-')), 'drive.signals');
  const recorder = await begin(taskAt(path));
  for (let from = 0, turn = 0; from < SAMPLES; turn += 1) {
    const batch = samplesOf(from, Math.min(sizes[turn % sizes.length]!, SAMPLES - from));
    from += batch.timeS.length;
    await recorder.append(batch);
    for (const values of [batch.timeS, ...Object.values(batch.signals)]) values.fill(-1);
  }
  return { recording: await recorder.close(), bytes: readFileSync(path) };
}

describe('a recorder in a thread of its own', () => {
  it('writes the same bytes and counts the same, whatever the batches', async () => {
    for (const sizes of [[5000], [100, 9001, 1], [SAMPLES]]) {
      const [here, there] = [await record(createRecorder, sizes), await record(startRecorder, sizes)];
      expect(there.recording).toEqual(here.recording);
      expect(there.bytes.equals(here.bytes)).toBe(true);
      expect(here.recording.marks).toHaveLength(4);
      expect(here.recording.quality.map(({ code }) => code)).toContain('ratio_implausible');
      expect(here.recording.signalIds).toEqual(IDS);
    }
  });

  it('tells what went wrong with a later call, and keeps the code that a full disk is known by', async () => {
    const lost = startRecorder(taskAt(join(folder, 'absent', 'drive.signals')));
    const appendOnAndOn = async () => {
      for (let n = 0; n < 20; n += 1) await lost.append(samplesOf(0, 10));
    };
    await expect(appendOnAndOn()).rejects.toMatchObject({ code: 'ENOENT' });
    await expect(lost.close()).rejects.toMatchObject({ code: 'ENOENT' });
    await lost.abort();
    expect(readdirSync(folder)).toEqual([]);
  });

  it('leaves nothing behind when it is given up', async () => {
    const begun = startRecorder(taskAt(join(folder, 'drive.signals')));
    await begun.append(samplesOf(0, 20_000));
    await begun.abort();
    expect(readdirSync(folder)).toEqual([]);
  });
});
