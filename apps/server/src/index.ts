export { type AppOptions, type BuiltApp, buildApp } from './build-app.js';
export { type DemoOptions, type SeededDemo, seedDemo } from './demo/seed-demo.js';
export { createIds } from './ids.js';
export { loadSettings, type Settings, SettingsError } from './settings.js';
