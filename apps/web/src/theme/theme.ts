import { type CSSVariablesResolver, createTheme, type MantineColorsTuple } from '@mantine/core';

/** Warm greys of the light theme, paper to ink. */
const warmGrey: MantineColorsTuple = [
  '#faf9f6',
  '#f3f1ec',
  '#e9e6df',
  '#dcd8cf',
  '#c9c4b9',
  '#aaa498',
  '#857f74',
  '#5f5a52',
  '#45413b',
  '#25221e',
];

/** The same greys for the dark theme, ink to paper. */
const warmDark: MantineColorsTuple = [
  '#e8e4dc',
  '#c9c4ba',
  '#aaa499',
  '#857f75',
  '#56524b',
  '#403d38',
  '#302e2a',
  '#232220',
  '#1b1a18',
  '#131210',
];

/** The one accent: links, focus, chosen things. Never a measure. */
const accent: MantineColorsTuple = [
  '#e6f3f2',
  '#cfe5e3',
  '#9fcdc9',
  '#6db4af',
  '#479e99',
  '#2f8f89',
  '#1f7d78',
  '#136763',
  '#0c504d',
  '#073a38',
];

export const theme = createTheme({
  colors: { gray: warmGrey, dark: warmDark, accent },
  primaryColor: 'accent',
  primaryShade: { light: 7, dark: 6 },
  black: '#25221e',
  white: '#fdfcf9',
  defaultRadius: 'sm',
  radius: { xs: '2px', sm: '3px', md: '4px', lg: '6px', xl: '8px' },
  fontFamily: "ui-sans-serif, system-ui, 'Segoe UI', 'Helvetica Neue', 'Noto Sans', Arial, sans-serif",
  fontFamilyMonospace: "ui-monospace, 'SF Mono', 'DejaVu Sans Mono', Menlo, Consolas, monospace",
  fontSizes: { xs: '12px', sm: '13px', md: '14px', lg: '16px', xl: '19px' },
  spacing: { xs: '6px', sm: '10px', md: '16px', lg: '24px', xl: '36px' },
  headings: {
    fontWeight: '600',
    sizes: {
      h1: { fontSize: '22px', lineHeight: '1.25' },
      h2: { fontSize: '16px', lineHeight: '1.3' },
      h3: { fontSize: '14px', lineHeight: '1.35' },
    },
  },
  focusRing: 'auto',
  cursorType: 'pointer',
  // Named by text, not by import, so that a page loads only the components that it shows.
  components: {
    ActionIcon: { defaultProps: { variant: 'subtle', color: 'gray' } },
    // What can be chosen is made when a list opens: kept ready it is most of what a page with filters holds.
    Combobox: { defaultProps: { keepMounted: false } },
    Anchor: { defaultProps: { underline: 'hover', inherit: true } },
    // Within a dialog the head of the box is no banner of the page.
    Drawer: { defaultProps: { attributes: { header: { role: 'none' } } } },
    Modal: { defaultProps: { attributes: { header: { role: 'none' } } } },
    Paper: { defaultProps: { withBorder: true, shadow: 'none' } },
    SegmentedControl: { styles: { root: { background: 'var(--sunken)', border: '1px solid var(--line)' } } },
    Select: { defaultProps: { checkIconPosition: 'right' } },
    Table: { defaultProps: { verticalSpacing: 4, horizontalSpacing: 'sm' } },
    Tooltip: {
      defaultProps: { multiline: true, maw: 320, openDelay: 150, events: { hover: true, focus: true, touch: true } },
    },
  },
});

/** Hands our surfaces to Mantine, so that both draw on the same paper. The values live in tokens.css. */
export const cssVariables: CSSVariablesResolver = () => {
  const shared = {
    '--mantine-color-body': 'var(--paper)',
    '--mantine-color-text': 'var(--ink)',
    '--mantine-color-dimmed': 'var(--ink-soft)',
    '--mantine-color-placeholder': 'var(--ink-faint)',
    '--mantine-color-anchor': 'var(--accent-ink)',
    '--mantine-color-default': 'var(--surface)',
    '--mantine-color-default-border': 'var(--line)',
    '--mantine-color-default-hover': 'var(--surface-hover)',
    '--mantine-color-error': 'var(--fault)',
  };
  return { variables: {}, light: shared, dark: shared };
};
