import { describe, expect, it } from 'vitest';
import { askableRules, operatingPointOf } from '../src/pages/revision/operating-point.js';
import { aLayout, anAxis, aTable, PLATFORM } from './small-layout.js';

const base = aTable({
  id: 'base',
  repeat: 'shift',
  axes: [anAxis('load', [0, 40, 100]), anAxis('inputSpeed', [1000, 3000])],
});
const supply = aTable({ id: 'supply', axes: [anAxis('engineSpeed', [800, 3600])] });
const warmth = aTable({ id: 'warmth', axes: [anAxis('fluidTemperature', [-20, 20, 115])] });
const program = aTable({ id: 'program', repeat: 'program', axes: [anAxis('load', [0, 100])] });
const line = aTable({ id: 'line', repeat: 'upshift', axes: [anAxis('pedal', [0, 100])] });
const up = aTable({ id: 'up', repeat: 'upshift', axes: [anAxis('load', [0, 100])] });
const byClutch = aTable({ id: 'byClutch', repeat: 'clutch', axes: [anAxis('load', [0, 100])] });
const scalar = aTable({ id: 'scalar' });
const TABLES = [base, supply, warmth, program, line, up, byClutch, scalar];

describe('rules that can be asked', () => {
  it.each([
    ['load, input speed, engine speed and fluid temperature', ['base', 'supply', 'warmth', 'program'], true],
    ['pedal', ['line'], false],
    ['a clutch', ['byClutch'], false],
    ['neither load nor input speed', ['warmth', 'scalar'], false],
  ])('a rule over %s: %s is %s', (_, tables, isAskable) => {
    expect(askableRules(aLayout(TABLES, [{ tables }])).length === 1).toBe(isAskable);
  });
});

describe('the operating point of an address', () => {
  const layout = aLayout(TABLES, [{ tables: ['base', 'supply', 'warmth', 'program'] }]);

  it('without a word is the first shift and program, the middle nodes and warm fluid', () => {
    expect(operatingPointOf(layout, PLATFORM, {})).toMatchObject({
      shift: '1-2',
      program: 'calm',
      load: 40,
      inputSpeed: 3000,
      fluidTemperature: 80,
      isAtLockedConverter: true,
    });
  });

  it('is what the address says', () => {
    const search = { shift: '3-2', program: 'brisk', load: 12, speed: 1500, fluid: -5 };
    expect(operatingPointOf(layout, PLATFORM, search)).toMatchObject({
      shift: '3-2',
      program: 'brisk',
      load: 12,
      inputSpeed: 1500,
      fluidTemperature: -5,
    });
  });

  it('falls back where the address names what the platform does not have', () => {
    const point = operatingPointOf(layout, PLATFORM, { rule: 'gone', shift: '7-8', program: 'sport' });
    expect(point).toMatchObject({ rule: { id: 'rule0' }, shift: '1-2', program: 'calm' });
  });

  it('offers only the shifts that every table of the rule has', () => {
    expect(operatingPointOf(aLayout(TABLES, [{ tables: ['up'] }]), PLATFORM, {})?.shifts).toEqual(['1-2']);
  });

  it('asks for no shift where no table is repeated over shifts', () => {
    expect(operatingPointOf(aLayout(TABLES, [{ tables: ['program'] }]), PLATFORM, {})).toMatchObject({
      shift: undefined,
      program: 'calm',
    });
  });

  it('is missing where the layout has no rule to ask', () => {
    expect(operatingPointOf(aLayout(TABLES), PLATFORM, {})).toBeUndefined();
  });
});
