import type { Grade } from '@syncline/shifts';
import type { NewShift } from '../src/index.js';
import { aNewShift, aShift } from '../test/support/builders.js';

const KINDS = ['1-2', '2-3', '3-4', '4-5', '5-6', '6-5', '5-4', '4-3', '3-2', '2-1'];

/** Driving as it is: mostly warm, mostly one program, and a kind of shift happens at its usual speeds. */
export function randomShift(random: () => number): NewShift {
  const kindIndex = Math.floor(random() * KINDS.length);
  const grade: Grade = random() < 0.05 ? 'flare' : random() < 0.05 ? 'tie-up' : 'clean';
  const plain = aShift();
  const load = 100 * random() ** 1.5;
  return aNewShift({
    shift: aShift({
      kind: KINDS[kindIndex],
      at: { ...plain.at, load },
      measures: { ...plain.measures, flareRpm: grade === 'flare' ? 60 + 100 * random() : 0, tieUpDepth: random() },
    }),
    grades: [grade],
    program: random() < 0.9 ? 'calm' : 'brisk',
    bands: {
      load: Math.floor(load / 17),
      speed: Math.min(5, (kindIndex % 5) + Math.floor(random() * 2)),
      temperature: Math.min(4, 1 + Math.floor(4 * random() ** 0.5)),
    },
  });
}
