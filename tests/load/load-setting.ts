import { parseArgs } from 'node:util';

export const USAGE = `npm run load -- [--testers 200] [--minutes 10] [--think 8] [--upload-every 10] [--drive 120]
                   [--cpu-prof folder]

Founds a club of so many testers on a server of its own, each with a car and a drive, and lets all of them read and
upload at once. --think: seconds between two pages of one person, on average. --upload-every: minutes between two drives
of one person, --drive: how long each of those is (s). Prints answers by route, memory and stalls of the server, and writes tests/load/load.json and load.md.
Exit code 1 when a request failed, reads were too slow or memory grew. --cpu-prof: profiles the server into a folder.`;

/** How hard the server is used. */
export interface LoadSetting {
  readonly testers: number;
  readonly minutes: number;
  /** Between two pages of one person, on average (s). */
  readonly thinkS: number;
  /** Between two drives of one person, on average. */
  readonly uploadEveryMinutes: number;
  /** Length of a drive (s). */
  readonly driveS: number;
  readonly profileFolder: string | null;
}

/** Reads the command line. Throws for what is no such thing. */
export function readSetting(args?: string[]): LoadSetting {
  const { values } = parseArgs({
    args,
    options: {
      testers: { type: 'string', default: '200' },
      minutes: { type: 'string', default: '10' },
      think: { type: 'string', default: '8' },
      'upload-every': { type: 'string', default: '10' },
      drive: { type: 'string', default: '120' },
      'cpu-prof': { type: 'string' },
    },
  });
  const above = (name: 'testers' | 'minutes' | 'think' | 'upload-every' | 'drive', least: number) => {
    const value = Number(values[name]);
    if (value >= least) return value;
    throw new Error(`--${name} needs a number of at least ${least}, found '${values[name]}'.`);
  };
  return {
    testers: Math.round(above('testers', 1)),
    minutes: above('minutes', 0.05),
    thinkS: above('think', 0.1),
    uploadEveryMinutes: above('upload-every', 0.05),
    driveS: above('drive', 30),
    profileFolder: values['cpu-prof'] ?? null,
  };
}
