/** Browsers by the word of theirs that no other says, the more particular ones first. */
const BROWSERS: readonly (readonly [word: RegExp, name: string])[] = [
  [/\bEdg(?:e|A|iOS)?\/(\d+)/, 'Edge'],
  [/\bOPR\/(\d+)/, 'Opera'],
  [/\b(?:Firefox|FxiOS)\/(\d+)/, 'Firefox'],
  [/\b(?:Headless)?Chrom(?:e|ium)\/(\d+)/, 'Chromium'],
  [/\bVersion\/(\d+)[\d.]* (?:Mobile\/\w+ )?Safari\//, 'Safari'],
];

const SYSTEMS: readonly (readonly [word: RegExp, name: string])[] = [
  [/\b(?:iPhone|iPad)\b/, 'iOS'],
  [/\bAndroid\b/, 'Android'],
  [/\bWindows\b/, 'Windows'],
  [/\bMac OS X\b/, 'macOS'],
  [/\bCrOS\b/, 'ChromeOS'],
  [/\bLinux\b/, 'Linux'],
];

/** What a browser says of itself in words that its owner knows: “Firefox 140 on Linux”. Nothing of it is proved. */
export function clientWords(userAgent: string): string {
  if (userAgent.trim() === '') return 'a program that names no browser';
  const browser = BROWSERS.flatMap(([word, name]) => {
    const version = word.exec(userAgent)?.[1];
    return version === undefined ? [] : [`${name} ${version}`];
  })[0];
  if (browser === undefined) return userAgent.slice(0, 60);
  const system = SYSTEMS.find(([word]) => word.test(userAgent))?.[1];
  return system === undefined ? browser : `${browser} on ${system}`;
}
