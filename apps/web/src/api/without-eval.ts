import { config, type core } from 'zod';

const withoutCycles: core.$ZodMemoizer = {
  alloc: (_schema, _payload, empty) => empty,
  attach: () => {},
  guard: () => {},
};

/**
 * The pages may evaluate no text (Content-Security-Policy), so that schemas are not compiled. Said before the first schema
 * is made: to find it out costs a violation, for whose report the browser reads the whole script once more. And what comes
 * as JSON never holds itself, for which each schema would be searched when it is first used.
 */
config({ jitless: true, memoizer: withoutCycles });
