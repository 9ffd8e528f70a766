/** A second-order section: y = (b0 + b1 z⁻¹ + b2 z⁻²) / (1 + a1 z⁻¹ + a2 z⁻²) · x. */
export interface Section {
  readonly b0: number;
  readonly b1: number;
  readonly b2: number;
  readonly a1: number;
  readonly a2: number;
}

/**
 * Butterworth low-pass or high-pass of even order as second-order sections, by the bilinear transform with
 * pre-warping; the gain at the cut-off is 1/√2. Frequencies in Hz, the cut-off below half the sample rate.
 * Source: Oppenheim and Schafer, Discrete-Time Signal Processing, 3rd ed., section 7.3 (from memory).
 */
export function butterworth(design: {
  kind: 'low' | 'high';
  order: 2 | 4;
  cutOffHz: number;
  sampleRateHz: number;
}): Section[] {
  const k = Math.tan((Math.PI * design.cutOffHz) / design.sampleRateHz);
  return Array.from({ length: design.order / 2 }, (_, pair) => {
    const damping = 2 * Math.sin((Math.PI * (2 * pair + 1)) / (2 * design.order));
    const q = 1 + damping * k + k * k;
    const gain = (design.kind === 'low' ? k * k : 1) / q;
    const a1 = (2 * (k * k - 1)) / q;
    const a2 = (1 - damping * k + k * k) / q;
    return { b0: gain, b1: design.kind === 'low' ? 2 * gain : -2 * gain, b2: gain, a1, a2 };
  });
}

/** Sections in series, one sample after the other (transposed direct form II), from rest. */
export class SectionFilter {
  private readonly sections: readonly Section[];
  private readonly state: Float64Array;

  constructor(sections: readonly Section[]) {
    this.sections = sections;
    this.state = new Float64Array(2 * sections.length);
  }

  next(sample: number): number {
    const { state } = this;
    let x = sample;
    for (let s = 0; s < this.sections.length; s++) {
      const { b0, b1, b2, a1, a2 } = this.sections[s] as Section;
      const y = b0 * x + (state[2 * s] as number);
      state[2 * s] = b1 * x - a1 * y + (state[2 * s + 1] as number);
      state[2 * s + 1] = b2 * x - a2 * y;
      x = y;
    }
    return x;
  }

  reset(): void {
    this.state.fill(0);
  }
}
