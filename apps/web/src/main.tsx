import './api/without-eval.js';
import './theme/mantine.css';
import './theme/tokens.css';
import './theme/base.css';
import 'virtual:theme.css';
import { MantineProvider } from '@mantine/core';
import { QueryClientProvider } from '@tanstack/react-query';
import { RouterProvider } from '@tanstack/react-router';
import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { createQueryClient } from './api/query-client.js';
import { earlyAnswers } from './early/early-answers.js';
import { createAppRouter } from './router.js';
import { startEarly } from './start-early.js';
import { theme } from './theme/theme.js';

const queryClient = createQueryClient();
const router = createAppRouter(queryClient);
const container = document.getElementById('root');
if (container === null) throw new Error('index.html lacks the element #root');

/** A page that is not there by then is shown as on its way (ms). */
const PATIENCE_MS = 1000;

startEarly(router, queryClient);
// What is shown as on its way is work thrown away, and is made to stand for half a second that the page is there already.
const whole = Promise.all([router.load(), earlyAnswers()]);
void Promise.race([whole, new Promise((resolve) => setTimeout(resolve, PATIENCE_MS))]).finally(() =>
  createRoot(container).render(
    <StrictMode>
      {/* Its style sheet is written by the build. */}
      <MantineProvider theme={theme} withCssVariables={false} withGlobalClasses={false} defaultColorScheme="auto">
        <QueryClientProvider client={queryClient}>
          <RouterProvider router={router} />
        </QueryClientProvider>
      </MantineProvider>
    </StrictMode>,
  ),
);
