import type { ApplicationState, LogFormat, LogState, OutcomeMeasure, RequestState } from '@syncline/contract';

/** What a measure is called where its rate is shown. */
export const MEASURE_WORDS: Record<OutcomeMeasure, string> = {
  flare: 'Flare',
  'tie-up': 'Tie-up',
  harsh: 'Harsh',
  slow: 'Slow',
};

export const LOG_STATE_WORDS: Record<LogState, string> = {
  waiting: 'Waiting',
  awaitingMap: 'Cannot be read yet',
  decoding: 'Decoding',
  analysing: 'Analysing',
  ready: 'Ready',
  refused: 'Cannot be graded',
  failed: 'Failed',
};

export const LOG_FORMAT_WORDS: Record<LogFormat, string> = {
  csv: 'CSV table',
  jsonLines: 'JSON lines',
  candump: 'Bus capture (candump)',
  mdf: 'MDF 4 measurement',
};

export const REQUEST_STATE_WORDS: Record<RequestState, string> = {
  open: 'Open',
  met: 'Met',
  withdrawn: 'Withdrawn',
  expired: 'Run out',
};

export const APPLICATION_STATE_WORDS: Record<ApplicationState, string> = {
  new: 'New',
  waiting: 'Waiting',
  invited: 'Invited',
  declined: 'Declined',
};

export const ROLE_WORDS = { maintainer: 'Maintainer', reviewer: 'Reviewer', tester: 'Tester' } as const;

/** What disturbed a shift, so that its measures weigh less. */
export const DISTURBANCE_WORDS: Record<string, string> = {
  pedalChange: 'the pedal moved',
  brake: 'the brake was pressed',
  gap: 'samples are missing',
  repeatedTime: 'times repeat',
  clockStep: 'the clock stepped back',
  slowSampling: 'sampled slowly',
  lockUpMove: 'the converter clutch moved',
};

/** Terms of the trade, explained where they are first met. */
export const TERMS = {
  shift: 'One gear change found in a drive log. “2-3” is from second to third gear.',
  flare:
    'Input speed rises above the line of the old gear during a shift: the old clutch let go before the new one carried. More pressure answers it.',
  'tie-up':
    'Two clutches hold at once and brake the car for a moment: the acceleration falls below what the gears explain. Less overlap answers it.',
  harsh: 'The change of acceleration (peak jerk) is above the table of the grading policy for this load.',
  slow: 'The inertia phase lasts longer than the grading policy allows for this load and program.',
  clean: 'No departure beyond the thresholds of the grading policy.',
  incomplete: 'The new gear was not reached in the time that the grading policy allows.',
  load: 'Engine torque as a share of its rated torque.',
  program: 'The driving program that the control unit was in, for example calm or brisk.',
  interval:
    'With 95 % confidence the true rate lies in this range. It is wider where shifts are few or come from few cars.',
  revision: 'All tables of a calibration at one moment. Once made it never changes.',
  platform: 'One gearbox with its control-unit family: gears, ratios, clutches, shifts.',
  dialect:
    'Which messages the car’s bus speaks. The label on a part may lie, so what was declared is compared with what was observed.',
  vehicle: 'A tester’s car with its profile, bus dialect and installed revisions.',
  log: 'A recording of one drive. The original file is kept as it came.',
  hunting: 'A shift that is undone within three seconds.',
  oddCar:
    'The interval of its rate lies wholly apart from that of the fleet: wear, a wrong profile or low fluid may be why.',
  gain: 'By how much the interval of the flare rate should narrow, times how often the fleet drives there, times how likely the rate is one that hurts.',
  request: 'Operating points where evidence is missing, asked of cars that can supply it.',
  coverage: 'Operating points with too few shifts or cars to say anything.',
  signalMap:
    'Which column of the file holds which signal, and in which unit. Each format of files has one for each car.',
  busSignals: 'Where in which frame of the bus each signal lies, and how it is counted.',
  dialectProfile: 'Which identifiers a dialect sends, how often and how long; captures of cars are held against it.',
  capture: 'A recording of everything that a car’s bus carries.',
} as const;

export type Term = keyof typeof TERMS;

/** A text that begins with a capital, as a sentence does. */
export function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
