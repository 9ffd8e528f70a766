import { defaultContent } from '@syncline/calibration';
import type { LayoutDocument, RevisionContentDocument } from '@syncline/contract';
import { describe, expect, it } from 'vitest';
import { type ScheduleView, scheduleCsvRows, scheduleView } from '../src/pages/revision/schedule-view.js';
import { aLayout, anAxis, aTable, PLATFORM } from './small-layout.js';

const line = { unit: 'rpm', axes: [anAxis('pedal', [0, 100])], limits: { min: 0, max: 8000 }, byProgram: true };
const schedule = {
  id: 'schedule',
  title: 'Schedule',
  upTable: 'up',
  downTable: 'down',
  minHysteresisRpm: 100,
  minInputSpeedRpm: 100,
  maxInputSpeedRpm: 20_000,
};
const layout: LayoutDocument = {
  ...aLayout([
    aTable({ ...line, id: 'up', repeat: 'upshift', defaultValue: 2000 }),
    aTable({ ...line, id: 'down', repeat: 'downshift', defaultValue: 900 }),
  ]),
  schedules: [schedule],
};

function content(): RevisionContentDocument {
  const made = structuredClone(defaultContent(layout, PLATFORM)) as RevisionContentDocument;
  made.tables['down']!.values['3-2/calm'] = [0, 1200];
  made.tables['down']!.values['3-2/brisk'] = [1200, 1200];
  return made;
}

const viewOf = (now: RevisionContentDocument, before: RevisionContentDocument | null = null, program = 'calm') =>
  scheduleView({ layout, platform: PLATFORM, schedule, program }, now, before) as ScheduleView;

describe('shift lines', () => {
  it('are those of the program, upshifts and downshifts; a downshift at 0 rpm never comes and is not drawn', () => {
    const { lines } = viewOf(content());
    expect(lines.map(({ label, isUp, points }) => [label, isUp, points.length])).toEqual([
      ['1-2', true, 2],
      ['3-2', false, 1],
      ['2-1', false, 2],
    ]);
  });

  it('mark a crossing at its place, in the program where it is', () => {
    const crossed = content();
    crossed.tables['down']!.values['2-1/calm'] = [900, 2500];
    const { marks, objections } = viewOf(crossed);
    // It meets the upshift back and the downshift that follows, both at full pedal.
    expect(marks.filter(({ kind }) => kind === 'crossing')).toMatchObject([
      { pedal: 100, outputSpeedRpm: 2000 },
      { pedal: 100, outputSpeedRpm: 1200 },
    ]);
    expect(objections).not.toEqual([]);
    expect(viewOf(crossed, null, 'brisk').marks).toEqual([]);
  });

  it('show what they were before only where that differs', () => {
    const now = content();
    now.tables['up']!.values['1-2/calm'] = [2000, 2600];
    const before = viewOf(now, content()).lines.filter(({ look }) => look === 'context');
    expect(before.map(({ label }) => label)).toEqual(['1-2']);
  });

  it('are downloaded as they are drawn, without the lines of before', () => {
    const now = content();
    now.tables['up']!.values['1-2/calm'] = [2000, 2600];
    expect(scheduleCsvRows(viewOf(now, content())).filter(({ shift }) => shift === '1-2')).toEqual([
      { shift: '1-2', direction: 'up', pedal: 0, outputSpeedRpm: 2000 },
      { shift: '1-2', direction: 'up', pedal: 100, outputSpeedRpm: 2600 },
    ]);
  });

  it('say why they cannot be drawn', () => {
    const without = content();
    delete without.tables['up'];
    expect(viewOf(without)).toHaveProperty('why');
  });
});
