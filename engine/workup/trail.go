package workup

func (w *window) trail(p *Panel) []Step { return nil }
