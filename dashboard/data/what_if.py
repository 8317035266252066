"""The job judged again on supposed facts. Nothing of it is stored."""

from __future__ import annotations

import streamlit as st

from core import services
from dashboard.data.views import BY_KEY, View


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner="Judging on what is supposed …")
def what_if(view: View, sentence: str, system: str) -> services.WhatIf:
    """What would come of one supposition. Raises WrongUse when it is not understood."""
    return services.what_if(view.assessment.folder, [sentence], view.as_of, system)


@st.cache_resource(max_entries=16, hash_funcs=BY_KEY, show_spinner=False)
def offered(view: View) -> services.Offered:
    """What the project has to choose from."""
    return services.offered(view.assessment)
