import { useComputedColorScheme } from '@mantine/core';
import type { ColourScheme } from './palette.js';

/** The theme that is shown now, for colours that are computed rather than named. */
export function useScheme(): ColourScheme {
  return useComputedColorScheme('light');
}
