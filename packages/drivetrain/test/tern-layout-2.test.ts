import {
  buildImage,
  checkContent,
  checkLayout,
  crc32,
  lookUp,
  migrateContent,
  planMigration,
  readImage,
} from '@syncline/calibration';
import { describe, expect, it } from 'vitest';
import {
  TERN_LAYOUT,
  TERN_PLATFORM,
  TERN_REVISIONS,
  TERN_SECOND_LAYOUT,
  ternCalibration,
  ternProgramLines,
} from '../src/index.ts';

const plan = planMigration(TERN_LAYOUT, TERN_SECOND_LAYOUT, TERN_PLATFORM);

describe('the second layout of the Tern', () => {
  it('holds together with its platform', () => {
    expect(checkLayout(TERN_SECOND_LAYOUT, TERN_PLATFORM)).toEqual([]);
  });

  it.each(TERN_REVISIONS)('takes $id over without a finding, and with its lines by program as well', ({ id }) => {
    const first = ternCalibration(id);
    const { content, findings } = migrateContent(plan, first);
    expect(findings).toEqual([]);
    const byProgram = { ...content, tables: { ...content.tables, ...ternProgramLines(first).tables } };
    expect(checkContent(TERN_SECOND_LAYOUT, TERN_PLATFORM, byProgram, content)).toEqual([]);
  });

  it('shifts where the first one does: line times factor, to the step of the storage', () => {
    const first = ternCalibration('r3');
    const { content } = migrateContent(plan, first);
    const second = { ...content, tables: { ...content.tables, ...ternProgramLines(first).tables } };
    for (const { id: program } of TERN_PLATFORM.programs) {
      const point = { shift: '3-4', program, pedal: 50 };
      const factor = lookUp(TERN_LAYOUT, first, 'scheduleFactor', point);
      const expected = factor * lookUp(TERN_LAYOUT, first, 'upshiftLine', point);
      expect(Math.abs(lookUp(TERN_SECOND_LAYOUT, second, 'upshiftLine', point) - expected)).toBeLessThanOrEqual(0.5);
    }
  });

  it('comes back from its memory image, whose checksum is CRC-32 over all before it', () => {
    const { content } = migrateContent(plan, ternCalibration('r3'));
    const image = buildImage(TERN_SECOND_LAYOUT, TERN_PLATFORM, content);
    const view = new DataView(image.bytes.buffer);
    expect(view.getUint32(image.bytes.length - 4)).toBe(crc32(image.bytes.subarray(0, -4)));
    expect(readImage(TERN_SECOND_LAYOUT, TERN_PLATFORM, image)).toMatchObject({ content });
  });
});
