import { describe, expect, it } from 'vitest';
import { formatBytes, Report } from '../src/report.js';

function aScreen(isTTY: boolean) {
  let text = '';
  return { isTTY, write: (more: string) => (text += more), text: () => text };
}

describe('what the command says', () => {
  it('is plain lines where nobody watches', () => {
    const screen = aScreen(false);
    const report = new Report(screen);
    report.progress(() => '50 %');
    report.line('sent');
    expect(screen.text()).toBe('sent\n');
  });

  it('has one moving line on a terminal, which goes before the next word', () => {
    const screen = aScreen(true);
    const report = new Report(screen);
    report.progress(() => '50 %');
    report.progress(() => 'too soon to be drawn again');
    report.line('sent');
    expect(screen.text()).toBe('50 %\r\u001b[Ksent\n');
  });

  it.each([
    [0, '0 B'],
    [999, '999 B'],
    [1500, '1.5 kB'],
    [123_456_789, '123 MB'],
    [5e12, '5000 GB'],
  ])('gives %i bytes as %s', (bytes, text) => {
    expect(formatBytes(bytes)).toBe(text);
  });
});
