import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { closeLoop, type LoopResult, type LoopRound } from './close-loop.ts';
import { keptOf, readLoops, withLoop } from './kept-loops.ts';
import { loopPage, loopPlot } from './loop-report.ts';
import { DEFAULT_SETTING, GEARSET_IDS, type GearsetId, type LoopSetting } from './loop-setting.ts';

/** Beside the page: what is kept of each loop, a line each. */
const KEPT = 'loops.jsonl';

const USAGE = `npm run loop -- [--gearset ${GEARSET_IDS.join('|')}] [--seed 1] [--rounds 6] [--cars 40] [--profile-error 0] [--keep]
       npm run loop -- --all [--seeds 1-2]

Drives simulated cars under a poor map, finds and grades their shifts, estimates corrections, accepts all of them, and
goes round again. Prints what each revision did: rates as found in the logs and, in brackets, as the simulator knows
them; error of the map against the pressures that the average car needs. --keep adds the loop to tests/loop/${KEPT} and
writes tests/loop/loop.md with its plot from all that are kept there. --all runs every gearset with true profiles and with
ones wrong by 30 %, with each of the seeds, a minute or more a run, and keeps each as it ends.`;

/** The loops that the command line asks for. Throws for what is no such thing. */
function readSettings(): { readonly settings: readonly LoopSetting[]; readonly isKept: boolean } {
  const { values } = parseArgs({
    options: {
      all: { type: 'boolean', default: false },
      keep: { type: 'boolean', default: false },
      seeds: { type: 'string', default: '1-2' },
      gearset: { type: 'string', default: DEFAULT_SETTING.gearset },
      seed: { type: 'string', default: String(DEFAULT_SETTING.seed) },
      rounds: { type: 'string', default: String(DEFAULT_SETTING.rounds) },
      cars: { type: 'string', default: String(DEFAULT_SETTING.cars) },
      'profile-error': { type: 'string', default: String(DEFAULT_SETTING.profileError) },
    },
  });
  if (!GEARSET_IDS.includes(values.gearset as GearsetId)) throw new Error(`There is no gearset '${values.gearset}'.`);
  const number = (name: 'seed' | 'rounds' | 'cars' | 'profile-error', least: number) => {
    const value = Number(values[name]);
    if (!(value >= least)) throw new Error(`--${name} needs a number of at least ${least}, found '${values[name]}'.`);
    return value;
  };
  const one: LoopSetting = {
    ...DEFAULT_SETTING,
    gearset: values.gearset as GearsetId,
    seed: number('seed', 0),
    rounds: number('rounds', 1),
    cars: number('cars', 3),
    profileError: number('profile-error', 0),
  };
  const isUsual = one.rounds === DEFAULT_SETTING.rounds && one.cars === DEFAULT_SETTING.cars;
  if ((values.keep || values.all) && !isUsual) throw new Error('Only loops of the usual rounds and cars are kept.');
  if (!values.all) return { settings: [one], isKept: values.keep };
  const settings = readSeeds(values.seeds).flatMap((seed) =>
    GEARSET_IDS.flatMap((gearset) => [0, 0.3].map((profileError) => ({ ...one, gearset, profileError, seed }))),
  );
  return { settings, isKept: true };
}

/** `4` or `1-10`. */
function readSeeds(text: string): number[] {
  const [, from, to] = /^(\d+)(?:-(\d+))?$/.exec(text) ?? [];
  const [first, last] = [Number(from), Number(to ?? from)];
  if (!(last >= first)) throw new Error(`--seeds needs a seed or a range such as 1-10, found '${text}'.`);
  return Array.from({ length: last - first + 1 }, (_, i) => first + i);
}

const share = (value: number) => (100 * value).toFixed(2).padStart(6);

function tellRound({ shifts, found, truth, mapError, nodesMoved }: LoopRound, index: number): void {
  const rates = (['flare', 'tieUp', 'harsh'] as const).map(
    (grade) => `${share(found[grade])} (${share(truth[grade])})`,
  );
  console.log(
    `${String(index).padStart(5)}  ${String(shifts).padStart(6)}  ${rates.join('  ')}  ${share(mapError.rms)} ${share(mapError.median)}  ${String(nodesMoved).padStart(5)}`,
  );
}

function runLoop(setting: LoopSetting): LoopResult {
  const { gearset, seed, cars, profileError } = setting;
  console.log(`${gearset}, seed ${seed}, ${cars} cars, profiles wrong by up to ${100 * profileError} %`);
  console.log('round  shifts  flare % (truth)  tie-up % (truth)  harsh % (truth)  map error %, median  moved');
  const result = closeLoop(setting, tellRound);
  console.log(`trims against what each car needs: correlation ${result.trimCorrelation.toFixed(3)}\n`);
  return result;
}

/** Adds a loop to those of earlier runs, and writes page and plot of them all. */
function keep(result: LoopResult): void {
  const place = (name: string) => join(import.meta.dirname, name);
  const earlier = existsSync(place(KEPT)) ? readLoops(readFileSync(place(KEPT), 'utf8')) : [];
  const loops = withLoop(earlier, keptOf(result));
  writeFileSync(place(KEPT), loops.map((loop) => `${JSON.stringify(loop)}\n`).join(''));
  writeFileSync(place('loop.md'), loopPage(loops));
  writeFileSync(place('loop.svg'), loopPlot(loops));
}

let asked: ReturnType<typeof readSettings>;
try {
  asked = readSettings();
} catch (error) {
  console.error(`${(error as Error).message}\n\n${USAGE}`);
  process.exit(2);
}
for (const setting of asked.settings) {
  const result = runLoop(setting);
  if (asked.isKept) keep(result);
}
