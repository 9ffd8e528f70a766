import { execFileSync, spawnSync } from 'node:child_process';
import { closeSync, fstatSync, mkdtempSync, openSync, readSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { createLogReader, inspectLog, suggestSignalMap } from '@syncline/drivelog';
import { TERN_PLATFORM } from '@syncline/drivetrain';
import { DEFAULT_POLICY } from '@syncline/shifts';
import { profileOf } from '../support/tern-club.ts';
import { agreementOf, agreementText, type ScriptShift } from './agreement.ts';
import { BenchClub, headOf } from './bench-club.ts';
import { type FigureRow, printRow, spreadOf } from './figures.ts';
import { longDriveFile } from './long-drive.ts';

const SCRIPT = fileURLToPath(new URL('analyst.py', import.meta.url).href.replace('/dist/', '/'));
const PYTHONS = ['python3', '/usr/bin/python3'];
const PROCESSOR = 'syncline_process_cpu_seconds_total';
const CHUNK_BYTES = 1 << 18;
const MIB = 2 ** 20;
/** What the server may have resident at its highest, whatever the size of the log. */
const MEMORY_LIMIT_BYTES = 250 * MIB;

/** What the script says of a run. */
interface ScriptReport {
  readonly readS: number;
  readonly readCpuS: number;
  readonly wholeS: number;
  readonly cpuS: number;
  readonly peakBytes: number;
  readonly versions: string;
  readonly shifts: readonly ScriptShift[];
}

interface Run {
  readonly wholeS: number;
  readonly cpuS: number;
  readonly peakBytes: number;
}

interface OurRun extends Run {
  readonly logId: string;
  readonly uploadS: number;
}

/**
 * The whole job on one log of so many MB, decode to store, by a server that was just started, and by a script of pandas and
 * SciPy beside it; turn by turn, so that both meet the same machine. What they find is compared.
 */
export async function benchOneLog(megabytes: number, runs: number): Promise<unknown> {
  const path = await longDriveFile(megabytes);
  console.log(`\nOne log of ${megabytes} MB, twelve columns at 100 Hz: decode, detect, measure, grade, store`);
  const python = findPython();
  if (python === undefined) console.log('No python3 with pandas and scipy was found: nothing to compare with.');
  let club = await clubFor(path);
  const scratch = mkdtempSync(join(tmpdir(), 'syncline-bench-'));
  try {
    const [ours, theirs, decodedS]: [OurRun[], ScriptReport[], number[]] = [[], [], []];
    const setupPath = join(scratch, 'setup.json');
    writeFileSync(setupPath, JSON.stringify(setupOf(club)));
    const found = join(scratch, 'shifts.sqlite');
    for (let run = 0; run < runs; run++) {
      // A log that was analysed before has results to take away first.
      if (run > 0) {
        await club.end();
        club = await clubFor(path);
      }
      ours.push(await analyse(club, path));
      decodedS.push(decode(path));
      if (python !== undefined) theirs.push(runScript(python, [path, setupPath, found]));
    }
    const rows = [
      row(
        'upload, packed on its way, until it is answered',
        's',
        ours.map(({ uploadS }) => uploadS),
      ),
      ...rowsOf('this project', ours),
      row('decoding alone, one thread', 's', decodedS),
    ];
    if (theirs.length > 0) {
      rows.push(...rowsOf(`script, ${theirs[0]!.versions}`, theirs));
      rows.push(
        row(
          'pandas.read_csv alone',
          's',
          theirs.map(({ readS }) => readS),
        ),
      );
      const ratio = (of: (i: number) => number) => theirs.map((_, i) => of(i));
      rows.push(
        row(
          'the script takes times as long',
          '×',
          ratio((i) => theirs[i]!.wholeS / ours[i]!.wholeS),
        ),
      );
      rows.push(
        row(
          'the script takes times the processor',
          '×',
          ratio((i) => theirs[i]!.cpuS / ours[i]!.cpuS),
        ),
      );
      rows.push(
        row(
          'read_csv takes times as long as decoding',
          '×',
          ratio((i) => theirs[i]!.readS / decodedS[i]!),
        ),
      );
    }
    for (const each of rows) printRow(each);
    const peakMib = Math.max(...ours.map(({ peakBytes }) => peakBytes)) / MIB;
    const isBounded = peakMib * MIB <= MEMORY_LIMIT_BYTES;
    console.log(`memory of the server ${isBounded ? 'within' : 'NOT within'} ${MEMORY_LIMIT_BYTES / MIB} MiB`);
    const { logId } = ours.at(-1)!;
    const shifts = await club.withStore((store) => store.read.shifts.ofLog(logId));
    if (shifts.length === 0) throw new Error('no shift was found');
    if (theirs.length === 0) return { megabytes, rows };
    const agreement = agreementOf(shifts, theirs[0]!.shifts);
    console.log(agreementText(agreement));
    return { megabytes, rows, agreement };
  } finally {
    await club.end();
    rmSync(scratch, { recursive: true, force: true });
  }
}

/** A club whose server is stopped, ready for one log. */
async function clubFor(path: string): Promise<BenchClub> {
  const club = new BenchClub({ SYNCLINE_WORKERS: '1', SYNCLINE_MAX_LOG_BYTES: String(4 * 1024 * MIB) });
  await club.found(headOf(path));
  await club.stop();
  return club;
}

/** Uploads the file to a fresh server, which does the job. */
async function analyse(club: BenchClub, path: string): Promise<OurRun> {
  await club.start();
  const began = performance.now();
  const logId = await club.upload(path, 'long-drive.csv');
  const uploadS = (performance.now() - began) / 1000;
  const uploadCpuS = await club.metric(PROCESSOR);
  await club.ready(logId);
  const run = {
    logId,
    uploadS,
    wholeS: await club.jobSeconds(),
    cpuS: (await club.metric(PROCESSOR)) - uploadCpuS,
    peakBytes: club.peakBytes,
  };
  await club.stop();
  return run;
}

function rowsOf(who: string, runs: readonly Run[]): FigureRow[] {
  return [
    row(
      `whole job, ${who}`,
      's',
      runs.map(({ wholeS }) => wholeS),
    ),
    row(
      '  processor, all threads',
      's',
      runs.map(({ cpuS }) => cpuS),
    ),
    row(
      '  peak memory',
      'MiB',
      runs.map(({ peakBytes }) => peakBytes / MIB),
    ),
  ];
}

function row(what: string, unit: string, values: readonly number[]): FigureRow {
  return { what, unit, spread: spreadOf(values) };
}

/** Seconds for decoding alone. */
function decode(path: string): number {
  const inspection = inspectLog(headOf(path));
  const { map } = suggestSignalMap(inspection);
  if (map === null) throw new Error('no signal map was suggested');
  const reader = createLogReader({ inspection, map, isLending: true });
  const file = openSync(path, 'r');
  const { size } = fstatSync(file);
  const chunk = new Uint8Array(CHUNK_BYTES);
  const began = performance.now();
  let samples = 0;
  const take = (batches: ReturnType<typeof reader.push>) => {
    for (const { timeS } of batches) samples += timeS.length;
  };
  for (let offset = 0; offset < size; ) {
    const length = readSync(file, chunk, 0, CHUNK_BYTES, offset);
    take(reader.push(chunk.subarray(0, length)));
    offset += length;
  }
  take(reader.end());
  closeSync(file);
  if (samples === 0 || reader.findings().damagedRows > 0) throw new Error('the log was not read whole');
  return (performance.now() - began) / 1000;
}

/** The first Python that has what the script needs. */
function findPython(): string | undefined {
  return PYTHONS.find((name) => spawnSync(name, ['-c', 'import pandas, scipy.signal']).status === 0);
}

function runScript(python: string, args: readonly string[]): ScriptReport {
  return JSON.parse(execFileSync(python, [SCRIPT, ...args], { encoding: 'utf8', maxBuffer: 2 ** 30 })) as ScriptReport;
}

/** What the script has to know of gearbox, car and policy: what the server knows. */
function setupOf(club: BenchClub) {
  const { tyreRadiusM, finalDriveRatio, ratedInputTorqueNm, inputInertiaKgM2 } = profileOf(club.members.car);
  const { gears, programs } = TERN_PLATFORM;
  return {
    gears: gears.map(({ gear }) => gear),
    ratios: gears.map(({ ratio }) => ratio),
    programs: Object.fromEntries(programs.map(({ code, id }) => [code, id])),
    policy: DEFAULT_POLICY,
    tyreRadiusM,
    finalDriveRatio,
    ratedTorqueNm: ratedInputTorqueNm,
    inputInertiaKgM2,
  };
}
