import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { closeLoop, type LoopResult, type LoopRound } from './close-loop.ts';
import { loopPage, loopPlot } from './loop-report.ts';
import { DEFAULT_SETTING, GEARSET_IDS, type GearsetId, type LoopSetting } from './loop-setting.ts';

const USAGE = `npm run loop -- [--gearset ${GEARSET_IDS.join('|')}] [--seed 1] [--rounds 6] [--cars 40] [--profile-error 0]
       npm run loop -- --all [--seeds 2]

Drives simulated cars under a poor map, finds and grades their shifts, estimates corrections, accepts all of them, and
goes round again. Prints what each revision did: rates as found in the logs and, in brackets, as the simulator knows
them; error of the map against the pressures that the average car needs. --all runs every gearset with true profiles and
with ones wrong by 30 %, so many seeds of each, a minute or more a run, and writes tests/loop/loop.md with its plot.`;

/** The loops that the command line asks for. Throws for what is no such thing. */
function readSettings(): { readonly settings: readonly LoopSetting[]; readonly isAll: boolean } {
  const { values } = parseArgs({
    options: {
      all: { type: 'boolean', default: false },
      seeds: { type: 'string', default: '2' },
      gearset: { type: 'string', default: DEFAULT_SETTING.gearset },
      seed: { type: 'string', default: String(DEFAULT_SETTING.seed) },
      rounds: { type: 'string', default: String(DEFAULT_SETTING.rounds) },
      cars: { type: 'string', default: String(DEFAULT_SETTING.cars) },
      'profile-error': { type: 'string', default: String(DEFAULT_SETTING.profileError) },
    },
  });
  if (!GEARSET_IDS.includes(values.gearset as GearsetId)) throw new Error(`There is no gearset '${values.gearset}'.`);
  const number = (name: 'seed' | 'seeds' | 'rounds' | 'cars' | 'profile-error', least: number) => {
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
  if (!values.all) return { settings: [one], isAll: false };
  const seeds = Array.from({ length: number('seeds', 1) }, (_, i) => i + 1);
  const settings = GEARSET_IDS.flatMap((gearset) =>
    [0, 0.3].flatMap((profileError) => seeds.map((seed) => ({ ...one, gearset, profileError, seed }))),
  );
  return { settings, isAll: true };
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

let asked: ReturnType<typeof readSettings>;
try {
  asked = readSettings();
} catch (error) {
  console.error(`${(error as Error).message}\n\n${USAGE}`);
  process.exit(2);
}
const results = asked.settings.map(runLoop);
if (asked.isAll) {
  writeFileSync(join(import.meta.dirname, 'loop.md'), loopPage(results));
  writeFileSync(join(import.meta.dirname, 'loop.svg'), loopPlot(results));
}
