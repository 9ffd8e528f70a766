const ORDINALS = ['', 'first', 'second', 'third', 'fourth', 'fifth', 'sixth', 'seventh', 'eighth', 'ninth', 'tenth'];
const TIMES = [
  '',
  'once',
  'twice',
  'three',
  'four',
  'five',
  'six',
  'seven',
  'eight',
  'nine',
  'ten',
  'eleven',
  'twelve',
];

/** “third”; gears beyond the words by their number. */
export function gearWord(gear: number): string {
  return ORDINALS[gear] || `gear ${gear}`;
}

/** A kind of shift in words: “third to fourth”. */
export function kindWords({ from, to }: { readonly from: number; readonly to: number }): string {
  return `${gearWord(from)} to ${gearWord(to)}`;
}

/** “once”, “twice”, “twelve times”. */
export function timesWords(count: number): string {
  const word = TIMES[count];
  if (word === undefined || word === '') return `${count} times`;
  return count < 3 ? word : `${word} times`;
}
