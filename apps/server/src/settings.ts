import { availableParallelism } from 'node:os';
import { resolve } from 'node:path';
import { z } from 'zod';

const GIB = 1024 ** 3;

const wholeNumber = (min: number, max: number) =>
  z
    .string()
    .regex(/^\d+$/, 'expected a whole number')
    .transform(Number)
    .pipe(z.number().min(min, `expected at least ${min}`).max(max, `expected at most ${max}`));

const environment = z.strictObject({
  SYNCLINE_DATA: z.string().min(1).default('.data'),
  SYNCLINE_HOST: z.string().min(1).default('127.0.0.1'),
  SYNCLINE_PORT: wholeNumber(0, 65_535).default(8470),
  SYNCLINE_PUBLIC_URL: z
    .url({ protocol: /^https?$/, error: 'expected an address such as https://club.example' })
    .optional(),
  SYNCLINE_TRUSTED_PROXIES: z.string().optional(),
  SYNCLINE_MAX_LOG_BYTES: wholeNumber(1, 2 ** 50).default(4 * GIB),
  SYNCLINE_TESTER_QUOTA_BYTES: wholeNumber(1, 2 ** 50).default(50 * GIB),
  SYNCLINE_MIN_FREE_BYTES: wholeNumber(0, 2 ** 50).default(GIB / 2),
  SYNCLINE_WORKERS: wholeNumber(1, 256).optional(),
  SYNCLINE_LOG_LEVEL: z.enum(['trace', 'debug', 'info', 'warn', 'error', 'fatal', 'silent']).default('info'),
});

/** What the server runs with. The README of this folder describes each setting. */
export interface Settings {
  readonly dataFolder: string;
  readonly host: string;
  /** 0 lets the system choose. */
  readonly port: number;
  /** The address that people use, without a trailing slash; undefined: the address listened on. */
  readonly publicUrl: string | undefined;
  /** Addresses of proxies whose forwarded client address is believed. */
  readonly trustedProxies: readonly string[];
  readonly maxLogBytes: number;
  /** What the originals for the cars of one person may take, as sent. */
  readonly testerQuotaBytes: number;
  /** Below this much free space no upload is taken. */
  readonly minFreeBytes: number;
  /** Threads for decoding and analysis. */
  readonly workerCount: number;
  readonly logLevel: z.infer<typeof environment>['SYNCLINE_LOG_LEVEL'];
}

/** Every fault of the settings at once, one per line. */
export class SettingsError extends Error {
  readonly faults: readonly string[];

  constructor(faults: readonly string[]) {
    super(['These settings cannot be used:', ...faults.map((fault) => `  ${fault}`)].join('\n'));
    this.name = 'SettingsError';
    this.faults = faults;
  }
}

/**
 * Reads the `SYNCLINE_…` variables, `fixed` before those of the environment; throws `SettingsError`. An unknown one is a
 * fault: it is most likely a slip.
 */
export function loadSettings(
  fixed: Readonly<Record<string, string>> = {},
  environmentVariables: NodeJS.ProcessEnv = process.env,
): Settings {
  const ours = Object.entries({ ...environmentVariables, ...fixed }).filter(
    ([name, value]) => name.startsWith('SYNCLINE_') && value !== undefined,
  );
  const parsed = environment.safeParse(Object.fromEntries(ours));
  if (!parsed.success) throw new SettingsError(parsed.error.issues.flatMap(describeFault));
  const values = parsed.data;
  return {
    dataFolder: resolve(values.SYNCLINE_DATA),
    host: values.SYNCLINE_HOST,
    port: values.SYNCLINE_PORT,
    publicUrl: values.SYNCLINE_PUBLIC_URL?.replace(/\/+$/, ''),
    trustedProxies: values.SYNCLINE_TRUSTED_PROXIES?.split(',').map((address) => address.trim()) ?? [],
    maxLogBytes: values.SYNCLINE_MAX_LOG_BYTES,
    testerQuotaBytes: values.SYNCLINE_TESTER_QUOTA_BYTES,
    minFreeBytes: values.SYNCLINE_MIN_FREE_BYTES,
    // One core stays free for the requests.
    workerCount: values.SYNCLINE_WORKERS ?? Math.max(1, availableParallelism() - 1),
    logLevel: values.SYNCLINE_LOG_LEVEL,
  };
}

function describeFault(issue: z.core.$ZodIssue): string[] {
  if (issue.code === 'unrecognized_keys') return issue.keys.map((name) => `${name}: there is no such setting`);
  return [`${issue.path.join('.')}: ${issue.message}`];
}
