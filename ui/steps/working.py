"""working"""
import streamlit as st
from ui.strings import say
def show() -> None:
    st.subheader(say("working_heading"))
