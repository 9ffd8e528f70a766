import { openStore } from '@syncline/store';
import { buildApp } from './build-app.js';
import { createIds } from './ids.js';
import { SigningKeyError } from './services/signing-key.js';
import { loadSettings, type Settings, SettingsError } from './settings.js';
import { VERSION } from './version.js';

/** Requests that are still under way after this long are cut off when the server stops (ms). */
const GRACE_MS = 10_000;
/** Exit code of a server that was told twice to stop. */
const FORCED = 130;

async function serve(settings: Settings): Promise<void> {
  const clock = Date.now;
  const store = openStore({
    folder: settings.dataFolder,
    clock,
    ids: createIds(clock),
    minFreeBytes: settings.minFreeBytes,
  });
  const { app } = await buildApp({ settings, store, clock });
  const { warning, schemaVersion } = store.status();
  if (warning !== null) app.log.warn({ event: 'store.folderUnsafe', warning });

  let isStopping = false;
  const stop = async () => {
    if (isStopping) return forceStop();
    isStopping = true;
    app.log.info({ event: 'server.stopping' });
    setTimeout(() => app.server.closeAllConnections(), GRACE_MS).unref();
    await app.close();
    store.close();
  };
  // Whatever was under way is found and finished by the next start, as after a loss of power.
  const forceStop = () => {
    app.log.warn({ event: 'server.forced' });
    process.exit(FORCED);
  };
  process.on('SIGINT', () => void stop());
  process.on('SIGTERM', () => void stop());

  const address = await app.listen({ host: settings.host, port: settings.port });
  app.log.info({
    event: 'server.listening',
    address,
    publicUrl: settings.publicUrl ?? address,
    version: VERSION,
    schemaVersion,
    dataFolder: settings.dataFolder,
  });
}

try {
  await serve(loadSettings());
} catch (error) {
  const isExpected =
    error instanceof SettingsError ||
    error instanceof SigningKeyError ||
    (error instanceof Error && error.name === 'StoreError');
  process.stderr.write(`${isExpected ? error.message : error instanceof Error ? error.stack : String(error)}\n`);
  process.exitCode = 1;
}
