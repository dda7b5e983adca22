import type { Stage } from '../wire/Stage';

/** In the order of the work; a job may move to any of them at any time. */
export const STAGES: { stage: Stage; words: string }[] = [
  { stage: 'intake', words: 'Intake' },
  { stage: 'estimate', words: 'Estimate' },
  { stage: 'take_down', words: 'Take down' },
  { stage: 'clean_and_inspect', words: 'Clean and inspect' },
  { stage: 'rebuild', words: 'Rebuild' },
  { stage: 'regulate', words: 'Regulate' },
  { stage: 'final_tests', words: 'Final tests' },
  { stage: 'hand_over', words: 'Hand over' },
];

export const stageWords = (stage: Stage): string =>
  STAGES.find((entry) => entry.stage === stage)?.words ?? stage;
