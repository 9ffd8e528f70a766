import { openReadOnly, openStore, type SummaryDifference } from '@syncline/store';
import { createIds } from './ids.js';
import { loadSettings, SettingsError } from './settings.js';

const USAGE = `Usage: npm run check:summaries [-- --mend]

Counts every shift of the data folder (SYNCLINE_DATA) again and says which summaries tell something else. It only reads,
and may run beside the server. With --mend it puts them right; for that the server must be stopped.

Exit code: 0 exact or mended, 1 some are wrong, 2 cannot be told.
`;

/** Exit codes. */
const EXACT = 0;
const WRONG = 1;
const UNUSABLE = 2;

function run(args: readonly string[]): number {
  if (args.length > 1 || (args.length === 1 && args[0] !== '--mend')) {
    process.stderr.write(USAGE);
    return UNUSABLE;
  }
  const { dataFolder: folder } = loadSettings();
  const isMending = args.length === 1;
  const differences = isMending ? mend(folder) : check(folder);
  process.stdout.write(differences.map(describe).join(''));
  if (differences.length === 0) process.stdout.write('Every summary is what its shifts say.\n');
  else
    process.stdout.write(`${differences.length} summaries ${isMending ? 'were wrong and are mended' : 'are wrong'}.\n`);
  return differences.length === 0 || isMending ? EXACT : WRONG;
}

function check(folder: string): readonly SummaryDifference[] {
  const store = openReadOnly({ folder, clock: Date.now });
  try {
    return store.verifySummaries();
  } finally {
    store.close();
  }
}

function mend(folder: string): readonly SummaryDifference[] {
  const store = openStore({ folder, clock: Date.now, ids: createIds(Date.now) });
  try {
    return store.fleet.recomputeSummaries();
  } finally {
    store.close();
  }
}

function describe({ key, kept, counted, differing }: SummaryDifference): string {
  const shiftsOf = (counts: SummaryDifference['kept']) => (counts ? `${counts.shifts} shifts` : 'nothing');
  return `${key}: ${differing.join(', ')} differ; kept ${shiftsOf(kept)}, counted ${shiftsOf(counted)}\n`;
}

try {
  process.exitCode = run(process.argv.slice(2));
} catch (error) {
  const isExpected =
    error instanceof SettingsError || (error instanceof Error && (error.name === 'StoreError' || 'code' in error));
  if (!isExpected) throw error;
  process.stderr.write(`Cannot check: ${(error as Error).message}\n`);
  process.exitCode = UNUSABLE;
}
