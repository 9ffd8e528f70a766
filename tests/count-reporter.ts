import type { Reporter, TestModule } from 'vitest/node';

/** Ends a run with one plain line, `N passed, N failed`, that any script can read. */
export class CountReporter implements Reporter {
  onTestRunEnd(modules: readonly TestModule[], unhandled: readonly unknown[]): void {
    const counts = { passed: 0, failed: 0, skipped: 0 };
    for (const module of modules) {
      if (module.errors().length > 0) counts.failed += 1;
      for (const test of module.children.allTests()) {
        const { state } = test.result();
        if (state === 'passed' || state === 'failed') counts[state] += 1;
        else counts.skipped += 1;
      }
    }
    // The default reporter prints its summary in the same turn; ours comes last.
    setImmediate(() => {
      const skipped = counts.skipped > 0 ? `, ${counts.skipped} skipped` : '';
      console.log(`${counts.passed} passed, ${counts.failed + unhandled.length} failed${skipped}`);
    });
  }
}
