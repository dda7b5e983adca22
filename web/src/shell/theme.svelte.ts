// Light or dark: as the system says, or as the user says on this device.

export type Choice = 'system' | 'light' | 'dark';

const NAME = 'endshake.theme';

function chosen(): Choice {
  try {
    const held = localStorage.getItem(NAME);
    return held === 'light' || held === 'dark' ? held : 'system';
  } catch {
    return 'system';
  }
}

class Theme {
  choice = $state<Choice>(chosen());
  #systemDark = $state(false);

  /** What is shown. */
  get shown(): 'light' | 'dark' {
    if (this.choice !== 'system') return this.choice;
    return this.#systemDark ? 'dark' : 'light';
  }

  choose(choice: Choice) {
    this.choice = choice;
    try {
      localStorage.setItem(NAME, choice);
    } catch {
      // Then it holds until the page is closed.
    }
    this.#apply();
  }

  follow() {
    const system = matchMedia('(prefers-color-scheme: dark)');
    this.#systemDark = system.matches;
    system.addEventListener('change', (event) => {
      this.#systemDark = event.matches;
      this.#apply();
    });
    this.#apply();
  }

  #apply() {
    document.documentElement.dataset.theme = this.shown;
  }
}

export const theme = new Theme();
