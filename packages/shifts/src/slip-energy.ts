/** Angular speed of one revolution per minute (rad/s). */
const RAD_PER_S_PER_RPM = Math.PI / 30;

/** An inertia phase as samples: rising times, speeds, slope of the input speed, torque at the input. */
export interface SlipPhase {
  readonly timeS: ArrayLike<number>;
  readonly inputRpm: ArrayLike<number>;
  readonly outputRpm: ArrayLike<number>;
  readonly inputSlopeRpmPerS: ArrayLike<number>;
  readonly inputTorqueNm: ArrayLike<number>;
}

/**
 * Energy that the oncoming clutch of an upshift turns to heat: E = ∫ T_c·ω_slip dt with T_c = T_in − J_in·dω_in/dt and
 * ω_slip = ω_in − i_b·ω_out, everything referred to the gearbox input (methods.md 3). Trapezia between samples; J.
 * NaN where a sample is missing.
 */
export function clutchSlipEnergyJ(phase: SlipPhase, toRatio: number, inputInertiaKgM2: number): number {
  let energyJ = 0;
  let lastW = Number.NaN;
  for (let i = 0; i < phase.timeS.length; i++) {
    const slopeRadPerS2 = RAD_PER_S_PER_RPM * (phase.inputSlopeRpmPerS[i] as number);
    const clutchTorqueNm = (phase.inputTorqueNm[i] as number) - inputInertiaKgM2 * slopeRadPerS2;
    const slipRpm = (phase.inputRpm[i] as number) - toRatio * (phase.outputRpm[i] as number);
    const powerW = clutchTorqueNm * RAD_PER_S_PER_RPM * slipRpm;
    if (i > 0) energyJ += (((phase.timeS[i] as number) - (phase.timeS[i - 1] as number)) * (powerW + lastW)) / 2;
    lastW = powerW;
  }
  return energyJ;
}
