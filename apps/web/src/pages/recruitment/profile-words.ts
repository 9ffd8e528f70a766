import type { Climate, ProfileNeed } from '@syncline/contract';

export const CLIMATE_WORDS: Record<Climate, string> = {
  frost: 'Winters with frost',
  mild: 'Mild all year',
  heat: 'Hot summers',
  mountains: 'Mountains, or a heavy trailer',
};

export const DIMENSION_WORDS: Record<ProfileNeed['dimension'], string> = {
  platform: 'Gearbox',
  dialect: 'Bus dialect',
  engine: 'Engine',
  temperature: 'Fluid reaches',
};

/** A profile in one phrase: “Bus dialect Kelp”, “Fluid reaches below 20 °C”. */
export function profileWords({ dimension, title }: ProfileNeed): string {
  return `${DIMENSION_WORDS[dimension]} ${title}`;
}
