/** What happens in a synthetic drive of the three-speed test gearbox. */
export interface SyntheticDrive {
  /** Height of the flare before each upshift (rpm); 0 for none. */
  readonly flareRpm?: number;
  readonly rateHz?: number;
  /** Added to all output speeds, so that two drives differ. */
  readonly offsetRpm?: number;
}

/** Ratios of the gearbox that the drive is made with. */
export const RATIOS = [3, 1.8, 1] as const;

const COMMANDS_S = [4, 8] as const;
const DELAY_S = 0.3;
const INERTIA_S = 0.4;
const END_S = 12;

/**
 * Twelve seconds with two upshifts, 1-2 and 2-3, as CSV with units in the header: the input follows the line of its
 * gear, rises above it by a half sine when there is to be a flare, and goes to the next line in a straight way.
 */
export function syntheticDriveCsv({ flareRpm = 0, rateHz = 100, offsetRpm = 0 }: SyntheticDrive = {}): string {
  const lines = [
    'time (s),input speed (rpm),output speed (rpm),engine speed (rpm),target gear,load (%),oil temperature (°C)',
  ];
  for (let i = 0; i <= END_S * rateHz; i++) {
    const timeS = i / rateHz;
    const outputRpm = 600 + offsetRpm + 60 * timeS;
    const inputRpm = inputSpeedAt(timeS, outputRpm, flareRpm);
    const target = 1 + COMMANDS_S.filter((commandS) => timeS >= commandS).length;
    lines.push(
      [timeS, inputRpm, outputRpm, inputRpm + 30, target, 40, 80].map((value) => Number(value.toFixed(4))).join(','),
    );
  }
  return `${lines.join('\n')}\n`;
}

function inputSpeedAt(timeS: number, outputRpm: number, flareRpm: number): number {
  const passed = COMMANDS_S.filter((commandS) => timeS >= commandS).length;
  if (passed === 0) return RATIOS[0] * outputRpm;
  const sinceS = timeS - COMMANDS_S[passed - 1];
  const [before, after] = [RATIOS[passed - 1], RATIOS[passed]];
  if (sinceS < DELAY_S) return before * outputRpm + flareRpm * Math.sin((Math.PI * sinceS) / DELAY_S);
  const share = Math.min(1, (sinceS - DELAY_S) / INERTIA_S);
  return (before + share * (after - before)) * outputRpm;
}
