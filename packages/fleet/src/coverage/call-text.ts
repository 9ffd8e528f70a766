import type { ProfileNeed } from './profile-needs.js';

/** Engines are named only while they are few: a list of every single one asks for nothing. */
const MAX_ENGINES = 3;

/**
 * A short call for testers from what the club lacks: one sentence per platform that lacks something, then what is asked of
 * a tester. Plain text to be edited and pasted.
 */
export function callForTesters(needs: readonly ProfileNeed[]): string {
  const platforms = [...new Set(needs.map(({ platformId }) => platformId))];
  const wishes = platforms.flatMap((platformId) => {
    const lacking = needs.filter((need) => need.platformId === platformId && need.isLacking);
    return lacking.length === 0 ? [] : [wishesOf(lacking)];
  });
  const opening =
    wishes.length === 0
      ? 'Every gearbox variant that we know of is driven by enough cars. More testers are welcome all the same.'
      : `We look for testers. ${wishes.join(' ')}`;
  return `${opening} You need a logger, a few drives a month, and patience: maps are experimental. Local law, your road authority’s inspection rules and a qualified workshop come first, and nobody watches a screen while driving.`;
}

function wishesOf(lacking: readonly ProfileNeed[]): string {
  const titles = (dimension: ProfileNeed['dimension']) =>
    lacking.filter((need) => need.dimension === dimension).map(({ title }) => title);
  const dialects = titles('dialect');
  const engines = titles('engine');
  const temperatures = titles('temperature');
  const wishes = [
    ...(dialects.length > 0 ? [`with the bus dialect ${listOf(dialects)}`] : []),
    ...(engines.length > 0 && engines.length <= MAX_ENGINES ? [`with the engine ${listOf(engines)}`] : []),
    ...(temperatures.length > 0 ? [`whose fluid gets ${listOf(temperatures)}`] : []),
  ];
  const cars = `cars with the ${lacking[0].platformTitle}`;
  return wishes.length === 0 ? `Needed are ${cars}.` : `Needed are ${cars}, above all ${wishes.join('; ')}.`;
}

function listOf(words: readonly string[]): string {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} or ${words.at(-1)}`;
}
