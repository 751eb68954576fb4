package drawing

import "halfpear/sheet"

func (w *writer) preparationPages() []sheet.Page { return nil }
