import { parseArgs } from 'node:util';
import { closeLoop, type LoopRound } from './close-loop.ts';
import { DEFAULT_SETTING, GEARSET_IDS, type GearsetId, type LoopSetting } from './loop-setting.ts';

const USAGE = `npm run loop -- [--gearset ${GEARSET_IDS.join('|')}] [--seed 1] [--rounds 6] [--cars 40] [--profile-error 0]

Drives simulated cars under a poor map, finds and grades their shifts, estimates corrections, accepts all of them, and
goes round again. Prints what each revision did: rates as found in the logs and, in brackets, as the simulator knows
them; error of the map against the pressures that the average car needs.`;

/** The setting that the command line asks for. Throws for what is no such thing. */
function readSetting(): LoopSetting {
  const { values } = parseArgs({
    options: {
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
  return {
    ...DEFAULT_SETTING,
    gearset: values.gearset as GearsetId,
    seed: number('seed', 0),
    rounds: number('rounds', 1),
    cars: number('cars', 3),
    profileError: number('profile-error', 0),
  };
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

let setting: LoopSetting;
try {
  setting = readSetting();
} catch (error) {
  console.error(`${(error as Error).message}\n\n${USAGE}`);
  process.exit(2);
}
console.log(
  `${setting.gearset}, seed ${setting.seed}, ${setting.cars} cars, profiles wrong by ${setting.profileError}`,
);
console.log('round  shifts  flare % (truth)  tie-up % (truth)  harsh % (truth)  map error %, median  moved');
const { trimCorrelation } = closeLoop(setting, tellRound);
console.log(`trims against what each car needs: correlation ${trimCorrelation.toFixed(3)}`);
