// Templates as the server speaks of them.

export interface TemplateSummary {
  id: string;
  name: string;
  note: string;
  steps: number;
}

export interface TemplateList {
  templates: TemplateSummary[];
}
