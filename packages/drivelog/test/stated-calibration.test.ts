import { describe, expect, it } from 'vitest';
import { statedCalibration } from '../src/stated-calibration.ts';

const read = (text: string) => statedCalibration(new TextEncoder().encode(text));

describe('what a log says that its control unit ran', () => {
  it.each([
    ['a comment', '# calibration: 3f9a0c1d\ntime,rpm\n0,800\n', '3f9a0c1d'],
    ['a comment with = and another prefix', '// Calibration = Tern shore r3\r\ntime,rpm\r\n', 'Tern shore r3'],
    ['a comment in quotes after others', '# logger 2\n% calibration: "Tern shore r3"\ntime,rpm\n', 'Tern shore r3'],
    ['a mark of byte order before it', '\uFEFF# calibration:3f9a0c1d2e\ntime,rpm\n', '3f9a0c1d2e'],
    ['an object of JSON lines', '{"calibration":"3f9a0c1d"}\n{"t":0,"rpm":800}\n', '3f9a0c1d'],
    ['a key of each object', '{"t":0,"rpm":800,"calibration":"Tern shore r3"}\n', 'Tern shore r3'],
  ])('is read from %s', (_name, text, stated) => expect(read(text)).toBe(stated));

  it.each([
    ['nothing is said', 'time,rpm\n0,800\n'],
    ['a column is called so', 'time,calibration\n0,3\n'],
    ['it is no text', '{"calibration":3}\n'],
    ['it is empty', '# calibration:\ntime,rpm\n'],
    ['an object is cut off', '{"calibration":"3f9a'],
    ['it stands below the top', `${'# \n'.repeat(60)}# calibration: 3f9a0c1d\n`],
  ])('is null where %s', (_name, text) => expect(read(text)).toBeNull());
});
