import type { ApplicationState, LogFormat, LogState, OutcomeMeasure, RequestState } from '@syncline/contract';

/** What a measure is called where its rate is shown. */
export const MEASURE_WORDS: Record<OutcomeMeasure, string> = {
  flare: 'Flare',
  'tie-up': 'Tie-up',
  harsh: 'Harsh',
  slow: 'Slow',
};

/** What a revision or a car does in a shift with the grade: “it flares less often”. */
export const MEASURE_VERBS: Record<OutcomeMeasure, string> = {
  flare: 'flares',
  'tie-up': 'ties up',
  harsh: 'shifts harshly',
  slow: 'shifts slowly',
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

export const ROLE_WORDS = {
  maintainer: 'Maintainer',
  reviewer: 'Reviewer',
  reader: 'Reader',
  tester: 'Tester',
} as const;

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
  flareRpm: 'How far the input speed rises above the line of the old gear, at its highest. 0 where it never leaves it.',
  shiftTimeS: 'From the command of the shift to the moment at which the new gear is reached.',
  inertiaTimeS: 'How long the input speed takes from the line of the old gear to that of the new one.',
  delayS: 'From the command of the shift until the input speed begins to move.',
  peakJerk: 'The fastest change of acceleration during the shift: what is felt as a jolt.',
  tieUpDepth: 'How far the acceleration falls below what the gears explain.',
  slipEnergyJ: 'Heat made by the clutches that slip during the shift.',
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
  spread:
    'The large figure is the median: half of the shifts lie below it. Nine in ten lie within the range; one in twenty is below and one in twenty above.',
  cohort: 'Cars that share a bus dialect or an engine. The dialect is the observed one where it is known.',
  shrunken:
    'Few shifts say little about a car, so its rate is drawn towards that of the fleet, the more so the fewer they are. It is the better guess of how the car will do.',
  overlapOfDriving:
    'Two revisions can only be compared where both were driven: at the same shift, load, fluid temperature and program.',
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
  monitor:
    'After every drive compares flares and harsh shifts with those under the revision replaced, over all driving and in each load band. Its bound holds over all looks together; where it lies above the limit, the release is held by itself.',
  releaseCohort: 'The cars that a release is for: verified dialect, layout version, and what else was asked for.',
  controlUnit: 'The box that commands the clutch pressures of one gearbox.',
  capture: 'A recording of everything that a car’s bus carries.',
} as const;

export type Term = keyof typeof TERMS;

/** A text that begins with a capital, as a sentence does. */
export function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
