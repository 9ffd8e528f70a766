import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { contrast, divergingColour, faded, inkOn, type Rgb, sequentialColour } from '../src/theme/palette.js';

const channel = fc.integer({ min: 0, max: 255 });
const anyColour = fc.tuple(channel, channel, channel);

describe('palette', () => {
  // WCAG 2.2: black on white is 21 : 1, and #767676 is the lightest grey that reaches 4.5 : 1 on white.
  it.each<[Rgb, Rgb, number]>([
    [[0, 0, 0], [255, 255, 255], 21],
    [[118, 118, 118], [255, 255, 255], 4.54],
  ])('contrast of %j and %j is %d', (one, other, ratio) => {
    expect(contrast(one, other)).toBeCloseTo(ratio, 2);
  });

  it('the ink on any colour can be read', () => {
    fc.assert(
      fc.property(anyColour, (colour) => {
        const ink: Rgb = inkOn(colour) === '#000000' ? [0, 0, 0] : [255, 255, 255];
        expect(contrast(colour, ink)).toBeGreaterThanOrEqual(4.5);
      }),
    );
  });

  it('a higher rate is always the lighter colour', () => {
    const share = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(share, share, (one, other) => {
        const [low, high] = one < other ? [one, other] : [other, one];
        const light = (value: number) => contrast(sequentialColour(value), [0, 0, 0]);
        expect(light(low)).toBeLessThanOrEqual(light(high) + 1e-9);
      }),
    );
  });

  it('a colour without certainty is the paper, whatever it was', () => {
    expect(faded(sequentialColour(0), 0, 'dark')).toEqual(faded(sequentialColour(1), 0, 'dark'));
  });

  it('less is blue and more is orange in both themes', () => {
    for (const scheme of ['light', 'dark'] as const) {
      const [lessRed, , lessBlue] = divergingColour(-1, scheme);
      const [moreRed, , moreBlue] = divergingColour(1, scheme);
      expect(lessBlue).toBeGreaterThan(lessRed);
      expect(moreRed).toBeGreaterThan(moreBlue);
    }
  });
});
