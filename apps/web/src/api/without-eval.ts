import { config } from 'zod';

/**
 * The pages may evaluate no text (Content-Security-Policy), so that schemas are not compiled. Said before the first schema
 * is made: to find it out costs a violation, for whose report the browser reads the whole script once more.
 */
config({ jitless: true });
